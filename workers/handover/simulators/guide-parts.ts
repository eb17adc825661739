import * as maths from '../../elementary/maths.ts'
import type { Rides } from '../../physics/rolling-geometry.ts'
import type { BallBody, GuideShape } from '../../physics/shapes.ts'

/** Where something is in the lane's cross-section [m]: `left_m` to the left seen along the travel, `up_m` away from the lane. */
export interface AcrossLane {
  readonly left_m: number
  readonly up_m: number
}

/** One body of a guide, straight along the lane. */
export type GuidePart =
  /** A board: centre of its cross-section, the direction of its width (unit vector), half its width and half its thickness.
   *  The ball rolls on the face to the left of `along` seen along the travel, turned a quarter: (−along.up, along.left). */
  | {
      readonly kind: 'board'
      readonly name: string
      readonly centre: AcrossLane
      readonly along: AcrossLane
      readonly halfWidth_m: number
      readonly halfThickness_m: number
    }
  | { readonly kind: 'bar'; readonly name: string; readonly centre: AcrossLane; readonly radius_m: number }

export interface GuideParts {
  readonly parts: readonly GuidePart[]
  /** Centre of the ball that rides on them. */
  readonly ball: AcrossLane
  /** True where the parts stand for a guide of another shape on which the ball rolls alike. */
  readonly standIn: boolean
}

/** A guide as boards and bars that an engine can collide with. A channel wider than the ball becomes a floor, a typed rolling radius the V that has it.
 *  Datum: that of `rollingGeometry`. */
export function guideParts(shape: GuideShape, geometry: Rides, ball: BallBody): GuideParts {
  const R = ball.radius_m
  const floor = (up_m: number, width_m = 4 * R): GuidePart => ({
    kind: 'board',
    name: 'floor',
    centre: { left_m: 0, up_m: up_m - R / 4 },
    along: { left_m: 1, up_m: 0 },
    halfWidth_m: width_m / 2,
    halfThickness_m: R / 4,
  })
  const onFloor = { left_m: 0, up_m: R }
  switch (shape.kind) {
    case 'flat':
      return { parts: [floor(0)], ball: onFloor, standIn: false }
    case 'channel':
      return { parts: [floor(0)], ball: onFloor, standIn: true }
    case 'v-groove': {
      const half = shape.included_rad / 2
      const roll = shape.roll_rad ?? 0
      return groove(half + roll, half - roll, geometry, R, shape.depth_m && shape.depth_m / maths.cos(half))
    }
    case 'unequal-v':
      return groove(shape.left_rad, shape.right_rad, geometry, R)
    case 'two-rails': {
      const bar = (name: string, left_m: number): GuidePart => ({
        kind: 'bar',
        name,
        centre: { left_m, up_m: 0 },
        radius_m: shape.railRadius_m,
      })
      const parts = [bar('left rail', shape.centres_m / 2), bar('right rail', -shape.centres_m / 2)]
      return { parts, ball: centreOf(geometry), standIn: false }
    }
    case 'slot': {
      const edge = (name: string, side: 1 | -1): GuidePart => ({
        kind: 'board',
        name,
        centre: { left_m: side * (shape.gap_m / 2 + R), up_m: -R / 4 },
        along: { left_m: 1, up_m: 0 },
        halfWidth_m: R,
        halfThickness_m: R / 4,
      })
      const bottom = shape.depth_m === undefined ? [] : [floor(-shape.depth_m, shape.gap_m)]
      return {
        parts: [edge('left edge', 1), edge('right edge', -1), ...bottom],
        ball: centreOf(geometry),
        standIn: false,
      }
    }
    case 'typed': {
      if (geometry.contacts.length === 1) return { parts: [floor(0)], ball: onFloor, standIn: true }
      const half = maths.asin(geometry.rollingRadius_m / R)
      const parts = groove(half, half, { ...geometry, centre: { lateral_m: 0, height_m: R / maths.sin(half) } }, R)
      return { ...parts, standIn: true }
    }
  }
}

/** Two walls from the apex, each at its own angle from the vertical. */
function groove(left_rad: number, right_rad: number, geometry: Rides, R: number, length_m?: number): GuideParts {
  const wall = (name: string, angle_rad: number, side: 1 | -1): GuidePart => {
    // The ball touches R/tan α from the apex; the wall goes on for as much again.
    const half = (length_m ?? (2 * R) / maths.tan((left_rad + right_rad) / 2) + R) / 2
    const thick = R / 8
    const [sin, cos] = [maths.sin(angle_rad), maths.cos(angle_rad)]
    return {
      kind: 'board',
      name,
      centre: { left_m: side * (sin * half + cos * thick), up_m: cos * half - sin * thick },
      along: { left_m: sin, up_m: side * cos },
      halfWidth_m: half,
      halfThickness_m: thick,
    }
  }
  return {
    parts: [wall('left wall', left_rad, 1), wall('right wall', right_rad, -1)],
    ball: centreOf(geometry),
    standIn: false,
  }
}

function centreOf({ centre }: Rides): AcrossLane {
  if (!centre) throw new Error('a guide with a shape gives the ball no place')
  return { left_m: -centre.lateral_m, up_m: centre.height_m }
}
