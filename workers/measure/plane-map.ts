import * as maths from '../elementary/maths.ts'
import {
  type Deviations,
  type GravityLine,
  type Plane,
  type Px,
  type SlowlaneRecord,
  type View,
  assertNever,
  valueOf,
} from '../record/index.ts'
import {
  type Stand,
  type StandProblem,
  type Upright,
  readBars,
  standFromBars,
  standHomography,
} from './camera-plane.ts'
import { type Homography, type Point, homographyFrom, invertHomography } from './homography.ts'
import { commonFactor } from './independent-parts.ts'
import { type LensMap, lensOf, undistort } from './lens.ts'
import { placed } from './placing.ts'
import { sourceId } from './source-ids.ts'
import type { EdgeFitProblem } from './straight-edges.ts'

export type PlaneProblem =
  | { readonly kind: 'plane-missing'; readonly planeId: string }
  | {
      readonly kind: 'side-length'
      readonly planeId: string
      readonly side: 'width' | 'height'
      readonly length_m: number
    }
  | { readonly kind: 'corners-collinear'; readonly planeId: string }
  | { readonly kind: 'corners-crossed'; readonly planeId: string }
  | { readonly kind: 'corner-too-close'; readonly planeId: string; readonly px: number; readonly need: number }
  | { readonly kind: 'points-too-few'; readonly planeId: string; readonly have: number; readonly need: number }
  | { readonly kind: 'points-collinear'; readonly planeId: string }
  | (StandProblem & { readonly planeId: string })
  | EdgeFitProblem

/** A point whose place on the plane is known, in the undistorted picture. */
export interface Anchor {
  readonly name: string
  readonly at: Px
  readonly x_m: number
  readonly y_m: number
}

/** From the undistorted picture to metres on a plane and back. Where the plane's own bars or corners lie, before any "nearer". */
export interface PlaneMap {
  readonly kind: 'plane'
  readonly toMetres: Homography
  readonly toPicture: Homography
  readonly lens: LensMap
  /** How the camera stands, where only bars give the scale; a rectified plane needs no such assumption. */
  readonly stand: Stand | null
  readonly anchors: readonly Anchor[]
}

/** Sides shorter than this in the picture are refused, as for a bar. */
export const shortestSide_px = 20

/** The map of a plane of a view, with the sources moved by `deviations`. */
export function planeMapOf(
  record: SlowlaneRecord,
  view: View,
  planeId: string,
  deviations: Deviations,
): PlaneMap | PlaneProblem {
  const plane = view.planes[planeId]
  if (!plane) return { kind: 'plane-missing', planeId }
  const lens = lensOf(record, view, deviations)
  if (lens.kind !== 'lens') return lens
  switch (plane.kind) {
    case 'bars':
      return fromBars(record, view, plane, lens, deviations)
    case 'rectangle':
      return fromRectangle(record, view, plane, lens, deviations)
    case 'points':
      return fromPoints(record, view, plane, lens, deviations)
    default:
      return assertNever(plane)
  }
}

/** Strings and level edges of a view that tell the direction of gravity on a plane: every string, and the level edges that lie in it. */
export function uprightsOf(
  record: SlowlaneRecord,
  view: View,
  planeId: string | null,
  lens: LensMap,
  deviations: Deviations,
): Upright[] {
  return view.gravity
    .filter((line) => line.kind === 'plumb' || line.planeId === planeId)
    .map((line) => uprightOf(record, view, line, lens, deviations))
    .filter((line) => line.u_rad < 0.5)
}

function uprightOf(
  record: SlowlaneRecord,
  view: View,
  line: GravityLine,
  lens: LensMap,
  deviations: Deviations,
): Upright {
  const where = [view.id, 'gravity', line.id] as const
  const a0 = placed(line.a, where, 'a', deviations)
  const b0 = placed(line.b, where, 'b', deviations)
  const u_px = line.u_px ?? record.settings.placing_px
  return {
    a: undistort(lens, a0.x, a0.y),
    b: undistort(lens, b0.x, b0.y),
    level: line.kind === 'level',
    // Of the stated points, so that the weights do not move with the deviations.
    u_rad: (Math.SQRT2 * u_px) / maths.hypot(line.b.x - line.a.x, line.b.y - line.a.y),
  }
}

function fromBars(
  record: SlowlaneRecord,
  view: View,
  plane: Extract<Plane, { kind: 'bars' }>,
  lens: LensMap,
  deviations: Deviations,
): PlaneMap | PlaneProblem {
  const bars = readBars(record, view, plane, lens, deviations)
  if (!Array.isArray(bars)) return { ...bars, planeId: plane.id }
  const uprights = uprightsOf(record, view, plane.id, lens, deviations)
  const stand = standFromBars(record, view, bars, uprights, deviations)
  if ('kind' in stand) return { ...stand, planeId: plane.id }
  const toMetres = standHomography(stand, view)
  const toPicture = invertHomography(toMetres)
  if (!toPicture) return { kind: 'stand-unsolved', planeId: plane.id }
  return { kind: 'plane', toMetres, toPicture, lens, stand, anchors: [] }
}

function fromRectangle(
  record: SlowlaneRecord,
  view: View,
  plane: Extract<Plane, { kind: 'rectangle' }>,
  lens: LensMap,
  deviations: Deviations,
): PlaneMap | PlaneProblem {
  const width_m = valueOf(plane.width_m, record.sources, deviations)
  const height_m = valueOf(plane.height_m, record.sources, deviations)
  if (!(width_m > 0)) return { kind: 'side-length', planeId: plane.id, side: 'width', length_m: width_m }
  if (!(height_m > 0)) return { kind: 'side-length', planeId: plane.id, side: 'height', length_m: height_m }
  const where = [view.id, 'plane', plane.id] as const
  const corners = plane.corners.map((corner, i) => {
    const at = placed(corner, where, String(i), deviations)
    return undistort(lens, at.x, at.y)
  })
  const shape = quadrilateralProblem(corners)
  if (shape) return { ...shape, planeId: plane.id }
  const known = [
    { x: 0, y: 0 },
    { x: width_m, y: 0 },
    { x: width_m, y: height_m },
    { x: 0, y: height_m },
  ]
  return (
    fitted(plane.id, corners, known, lens, (i) => `corner ${i + 1}`) ?? { kind: 'corners-collinear', planeId: plane.id }
  )
}

function fromPoints(
  record: SlowlaneRecord,
  view: View,
  plane: Extract<Plane, { kind: 'points' }>,
  lens: LensMap,
  deviations: Deviations,
): PlaneMap | PlaneProblem {
  if (plane.points.length < 4) return { kind: 'points-too-few', planeId: plane.id, have: plane.points.length, need: 4 }
  const where = [view.id, 'plane', plane.id] as const
  const factor = commonFactor(plane.position_m, record, deviations)
  const shown = plane.points.map((point, i) => {
    const at = placed(point.at, where, String(i), deviations)
    return undistort(lens, at.x, at.y)
  })
  const known = plane.points.map((point, i) => {
    const [x, y] = pointPositionIds(view.id, plane.id, i)
    return {
      x: factor * (point.x_m + (deviations.get(x) ?? 0)),
      y: factor * (point.y_m + (deviations.get(y) ?? 0)),
    }
  })
  return (
    fitted(plane.id, shown, known, lens, (i) => `point ${i + 1}`) ?? { kind: 'points-collinear', planeId: plane.id }
  )
}

/** Ids of the sources of one known point's own position error. */
export function pointPositionIds(viewId: string, planeId: string, i: number): readonly [x: string, y: string] {
  return [sourceId('at', viewId, planeId, String(i), 'x'), sourceId('at', viewId, planeId, String(i), 'y')]
}

function fitted(
  planeId: string,
  shown: readonly Point[],
  known: readonly Point[],
  lens: LensMap,
  name: (i: number) => string,
): PlaneMap | PlaneProblem | undefined {
  // From metres to the picture, since the noise is in the picture.
  const toPicture = homographyFrom(known, shown)
  const toMetres = toPicture && invertHomography(toPicture)
  if (!toPicture || !toMetres) return undefined
  // The sign of w tells the two sides of the horizon apart; the calibration points lie on the side that is seen.
  const first = shown[0]!
  const w = toMetres[6]! * first.x + toMetres[7]! * first.y + toMetres[8]!
  const oriented = w > 0 ? toMetres : toMetres.map((value) => -value)
  if (shown.some((p) => !(oriented[6]! * p.x + oriented[7]! * p.y + oriented[8]! > 0)))
    return { kind: 'points-collinear', planeId }
  const anchors = known.map((k, i) => ({ name: name(i), at: shown[i]!, x_m: k.x, y_m: k.y }))
  return { kind: 'plane', toMetres: oriented, toPicture, lens, stand: null, anchors }
}

/** Four corners in turn must turn the same way at each: anything else is no picture of a rectangle. */
function quadrilateralProblem(
  c: readonly Point[],
):
  | { kind: 'corner-too-close'; px: number; need: number }
  | { kind: 'corners-collinear' }
  | { kind: 'corners-crossed' }
  | undefined {
  const turns: number[] = []
  for (let i = 0; i < 4; i++) {
    const [p, q, r] = [c[i]!, c[(i + 1) % 4]!, c[(i + 2) % 4]!]
    const side = maths.hypot(q.x - p.x, q.y - p.y)
    if (!(side >= shortestSide_px)) return { kind: 'corner-too-close', px: side, need: shortestSide_px }
    const next = maths.hypot(r.x - q.x, r.y - q.y)
    turns.push(((q.x - p.x) * (r.y - q.y) - (q.y - p.y) * (r.x - q.x)) / (side * Math.max(next, 1e-9)))
  }
  // 0.02: three corners within about a degree of one line.
  if (turns.some((turn) => Math.abs(turn) < 0.02)) return { kind: 'corners-collinear' }
  if (turns.some((turn) => turn > 0) && turns.some((turn) => turn < 0)) return { kind: 'corners-crossed' }
  return undefined
}
