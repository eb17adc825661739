import {
  type Deviations,
  type LaneLine,
  type SlowlaneRecord,
  type View,
  assertNever,
  valueOf,
} from '../record/index.ts'
import type { Point } from './homography.ts'
import { type LanePath, type PathProblem, polylinePath, straightPath } from './lane-path.ts'
import { type LensMap, undistort } from './lens.ts'
import { placed } from './placing.ts'
import type { PlaneMap, PlaneProblem } from './plane-map.ts'
import { smoothPath } from './smooth-curve.ts'
import { sourceId } from './source-ids.ts'
import type { TapeProblem } from './tick-tape.ts'

export type LaneProblem =
  | { readonly kind: 'line-missing'; readonly viewId: string; readonly laneId: string }
  | { readonly kind: 'line-without-scale'; readonly laneId: string }
  | { readonly kind: 'beyond-horizon'; readonly laneId: string }
  | { readonly kind: 'nearer-than-camera'; readonly nearer_m: number; readonly distance_m: number }
  | { readonly kind: 'distance'; readonly distance_m: number; readonly planeId: string }
  | (PathProblem & { readonly laneId: string })
  | TapeProblem
  | PlaneProblem

/** Turns places in the picture into arc length along one lane. Made once per (view, lane, deviations), used for every mark of every run. */
export interface LaneGeometry {
  readonly kind: 'lane'
  /** From the lane line's first point to its last [m]. */
  readonly length_m: number
  /** Writes [arc length s m, distance across m (positive to the right of the lane's direction as seen), metres per pixel along the lane]. */
  readonly project: (x_px: number, y_px: number, out: Float64Array) => void
  /** Place in the undistorted picture [px] of arc length s. */
  readonly pictureAt: (s_m: number) => Point
  /** The lane's path on its plane [m]; null where a tape on a lane without a plane gives lengths only. */
  readonly path_m: LanePath | null
  readonly lens: LensMap
  readonly plane: PlaneMap | null
}

/** The source of parallax nobody stated: a bar or rectangle set up by eye beside a lane stands within about this of it (common practice, no source). */
export const unstatedNearer_m = 0.003
export const nearerSourceId = (viewId: string, laneId: string): string => sourceId('nearer', viewId, laneId)

/** The line's points in the undistorted picture, where their placing noise puts them. */
export function linePoints(view: View, line: LaneLine, lens: LensMap, deviations: Deviations): Point[] {
  return line.points.map((point, i) => {
    const at = placed(point, [view.id, 'line', line.laneId], String(i), deviations)
    return undistort(lens, at.x, at.y)
  })
}

/** The path in the shape the line asks for. */
export function pathThrough(shape: LaneLine['shape'], points: readonly Point[]): LanePath | PathProblem {
  switch (shape) {
    case 'straight':
      return straightPath(points)
    case 'polyline':
      return polylinePath(points)
    case 'curve':
      return smoothPath(points)
    default:
      return assertNever(shape)
  }
}

/**
 * Scale of a lane that lies nearer to the camera than its plane's bar by d: (D − d)/D, D the camera's distance from the plane. For parallel planes
 * this is exact at any pitch and yaw: places on the nearer one are those on the farther one drawn together about the camera's foot.
 */
export function nearerFactor(
  record: SlowlaneRecord,
  view: View,
  line: LaneLine,
  deviations: Deviations,
): number | LaneProblem {
  const plane = line.planeId === null ? undefined : view.planes[line.planeId]
  const stated = [plane?.nearer_m, line.nearer_m].filter((value) => value !== undefined)
  const own = deviations.get(nearerSourceId(view.id, line.laneId)) ?? 0
  const nearer_m =
    stated.length === 0 ? own : stated.reduce((sum, value) => sum + valueOf(value, record.sources, deviations), 0)
  if (nearer_m === 0) return 1
  const distance_m = valueOf(view.distance_m, record.sources, deviations)
  if (!(distance_m > 0)) return { kind: 'distance', distance_m, planeId: line.planeId ?? '' }
  if (!(nearer_m < distance_m)) return { kind: 'nearer-than-camera', nearer_m, distance_m }
  return (distance_m - nearer_m) / distance_m
}
