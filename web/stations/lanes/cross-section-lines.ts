import type { Rides } from '../../../workers/physics/rolling-geometry.ts'
import { assertNever } from '../../../workers/record/index.ts'
import type { BallBody, GuideShape } from '../../../workers/physics/shapes.ts'

export interface Spot {
  readonly x: number
  readonly y: number
}

/** The drawing in metres, y up, origin at the guide's datum. */
export interface CrossSection {
  /** Outlines of the guide: polylines and circles. */
  readonly lines: readonly (readonly Spot[])[]
  readonly rounds: readonly { readonly at: Spot; readonly radius: number }[]
  readonly centre: Spot
  readonly radius: number
  readonly contacts: readonly Spot[]
}

/** How far past the ball the guide is drawn, in radii. */
const reach = 1.7

/** What a saw cut across the lane would show, with the ball in its place. */
export function crossSection(guide: GuideShape, ball: BallBody, rides: Rides): CrossSection {
  const R = ball.radius_m
  const centre = rides.centre ? { x: rides.centre.lateral_m, y: rides.centre.height_m } : { x: 0, y: 0 }
  const contacts = rides.contacts.map((c) => ({ x: centre.x + c.lateral_m, y: centre.y + c.height_m }))
  return { ...outline(guide, R, centre), centre, radius: R, contacts }
}

function outline(guide: GuideShape, R: number, centre: Spot): Pick<CrossSection, 'lines' | 'rounds'> {
  const far = reach * R
  switch (guide.kind) {
    case 'flat':
      return {
        lines: [
          [
            { x: -far, y: 0 },
            { x: far, y: 0 },
          ],
        ],
        rounds: [],
      }
    case 'v-groove': {
      const half = guide.included_rad / 2
      const height = Math.min(guide.depth_m ?? Infinity, Math.max(centre.y, R))
      const mouth = height * Math.tan(half)
      const roll = guide.roll_rad ?? 0
      const turned = (p: Spot): Spot => ({
        x: p.x * Math.cos(roll) - p.y * Math.sin(roll),
        y: p.x * Math.sin(roll) + p.y * Math.cos(roll),
      })
      const side = Math.max(far, mouth + 0.3 * R)
      const line = [
        { x: -side, y: height },
        { x: -mouth, y: height },
        { x: 0, y: 0 },
        { x: mouth, y: height },
        { x: side, y: height },
      ]
      return { lines: [line.map(turned)], rounds: [] }
    }
    case 'unequal-v': {
      const height = Math.max(centre.y, R)
      const left = -height * Math.tan(guide.left_rad)
      const right = height * Math.tan(guide.right_rad)
      return {
        lines: [
          [
            { x: Math.min(-far, left - 0.3 * R), y: height },
            { x: left, y: height },
            { x: 0, y: 0 },
            { x: right, y: height },
            { x: Math.max(far, right + 0.3 * R), y: height },
          ],
        ],
        rounds: [],
      }
    }
    case 'two-rails':
      return {
        lines: [],
        rounds: [-1, 1].map((side) => ({ at: { x: (side * guide.centres_m) / 2, y: 0 }, radius: guide.railRadius_m })),
      }
    case 'slot': {
      const edge = guide.gap_m / 2
      const floor = -(guide.depth_m ?? R)
      const left = [
        { x: -Math.max(far, edge + 0.5 * R), y: 0 },
        { x: -edge, y: 0 },
        { x: -edge, y: floor },
      ]
      const right = [
        { x: edge, y: floor },
        { x: edge, y: 0 },
        { x: Math.max(far, edge + 0.5 * R), y: 0 },
      ]
      return { lines: guide.depth_m === undefined ? [left, right] : [[...left, ...right]], rounds: [] }
    }
    case 'channel': {
      const { radius_m: r, depth_m } = guide
      const rise = Math.min(depth_m ?? r, r)
      const last = Math.acos((r - rise) / r)
      const arc = Array.from({ length: 41 }, (_, i) => {
        const angle = -last + (2 * last * i) / 40
        return { x: r * Math.sin(angle), y: r - r * Math.cos(angle) }
      })
      const side = Math.max(far, arc.at(-1)!.x + 0.3 * R)
      return { lines: [[{ x: -side, y: rise }, ...arc, { x: side, y: rise }]], rounds: [] }
    }
    case 'typed':
      return { lines: [], rounds: [] }
    default:
      return assertNever(guide)
  }
}
