import * as maths from '../elementary/maths.ts'
import type { Deviations, SlowlaneRecord } from '../record/index.ts'
import { type Upright, gravityOn } from './camera-plane.ts'
import { applyHomography, jacobianOf } from './homography.ts'
import { laneGeometry } from './lane-geometry.ts'
import { type LaneGeometry, type LaneProblem, linePoints, pathThrough } from './lane-line.ts'
import type { LanePath } from './lane-path.ts'
import { physicalPlane } from './physical-plane.ts'
import { type PlaneMap, uprightsOf } from './plane-map.ts'
import type { SlopeFound } from './slope.ts'

export type PictureSlopeProblem =
  | { readonly kind: 'no-gravity-line'; readonly viewId: string }
  | { readonly kind: 'slope-needs-plane'; readonly laneId: string }
  | { readonly kind: 'plumb-along-lane'; readonly degrees: number }
  | LaneProblem

/** Stretches a bent lane's slope is told in. */
const stretches = 40

/**
 * Slope of a lane from its line against the strings and level edges of a view, both taken through the lane's plane. A string at any depth gives
 * the same direction on an upright plane, since string and camera lie in one upright plane with their picture; a level edge must lie along the plane.
 */
export function pictureSlope(
  record: SlowlaneRecord,
  viewId: string,
  laneId: string,
  deviations: Deviations,
): SlopeFound | PictureSlopeProblem {
  const geometry = laneGeometry(record, viewId, laneId, deviations)
  if (geometry.kind !== 'lane') return geometry
  const view = record.views[viewId]!
  const { plane } = geometry
  if (!plane || !geometry.path_m) return { kind: 'slope-needs-plane', laneId }
  const line = view.lines[laneId]!
  const { planeId } = line
  const uprights = uprightsOf(record, view, planeId, geometry.lens, deviations)
  if (uprights.length === 0) return { kind: 'no-gravity-line', viewId }
  const physical = planeId === null ? plane : physicalPlane(record, view, planeId, plane, deviations)
  const path = pathThrough(
    line.shape,
    linePoints(view, line, geometry.lens, deviations).map((p) => applyHomography(physical.toMetres, p.x, p.y)),
  )
  if ('kind' in path) return { ...path, laneId }
  return alongPath(path, downOn(physical, uprights), line.shape === 'straight', geometry)
}

/** Unit direction of gravity on a plane. Its sense: the picture's down, or from a string's first to its second point where it lies across. */
export function downOn(plane: PlaneMap, uprights: readonly Upright[]): { readonly x: number; readonly y: number } {
  const { first_rad, mean } = gravityOn(plane.toMetres, uprights)
  const g = { x: maths.cos(first_rad + mean), y: maths.sin(first_rad + mean) }
  const first = uprights[0]!
  const at = applyHomography(plane.toMetres, first.a.x, first.a.y)
  const [a, b, c, d] = jacobianOf(plane.toPicture, at.x, at.y)
  const shown = { x: a * g.x + b * g.y, y: c * g.x + d * g.y }
  const across = Math.abs(shown.y) < Math.abs(shown.x) / 2
  const along = across && !first.level ? shown.x * (first.b.x - first.a.x) + shown.y * (first.b.y - first.a.y) : shown.y
  return along < 0 ? { x: -g.x, y: -g.y } : g
}

function alongPath(
  path: LanePath,
  down: { readonly x: number; readonly y: number },
  straight: boolean,
  geometry: LaneGeometry,
): SlopeFound | PictureSlopeProblem {
  const drop = (from: number, to: number) => {
    const [p, q] = [path.at(from), path.at(to)]
    return (q.x - p.x) * down.x + (q.y - p.y) * down.y
  }
  const whole = drop(0, path.length) / path.length
  if (Math.abs(whole) > Math.SQRT1_2)
    return { kind: 'plumb-along-lane', degrees: (maths.asin(Math.max(-1, Math.min(1, whole))) * 180) / Math.PI }
  if (straight) return { kind: 'slope', slope_rad: maths.asin(whole), along: null }
  const from_m = new Float64Array(stretches)
  const slope_rad = new Float64Array(stretches)
  // A tape's lengths and the plane's may differ by parallax; places are told in the tape's.
  const stretch = geometry.length_m / path.length
  for (let i = 0; i < stretches; i++) {
    const from = (path.length * i) / stretches
    const to = (path.length * (i + 1)) / stretches
    from_m[i] = from * stretch
    slope_rad[i] = maths.asin(Math.max(-1, Math.min(1, drop(from, to) / (to - from))))
  }
  return { kind: 'slope', slope_rad: maths.asin(whole), along: { from_m, slope_rad, end_m: geometry.length_m } }
}
