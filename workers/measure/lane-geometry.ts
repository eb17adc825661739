import * as maths from '../elementary/maths.ts'
import type { Deviations, SlowlaneRecord } from '../record/index.ts'
import { type Homography, type Point, invertHomography, jacobianOf } from './homography.ts'
import { type LaneGeometry, type LaneProblem, linePoints, nearerFactor, pathThrough } from './lane-line.ts'
import type { LanePath } from './lane-path.ts'
import { type LensMap, undistort } from './lens.ts'
import { planeMapOf } from './plane-map.ts'
import { straighteningFactor } from './radial.ts'
import { tapeGeometry } from './tick-tape.ts'

/** The geometry of a lane in a view, with the sources moved by `deviations`. */
export function laneGeometry(
  record: SlowlaneRecord,
  viewId: string,
  laneId: string,
  deviations: Deviations,
): LaneGeometry | LaneProblem {
  const view = record.views[viewId]
  const line = view?.lines[laneId]
  if (!view || !line) return { kind: 'line-missing', viewId, laneId }
  if (line.ticks && line.ticks.length > 0) return tapeGeometry(record, view, line, deviations)
  if (line.planeId === null) return { kind: 'line-without-scale', laneId }
  const plane = planeMapOf(record, view, line.planeId, deviations)
  if (plane.kind !== 'plane') return plane
  const factor = nearerFactor(record, view, line, deviations)
  if (typeof factor !== 'number') return factor
  const h = plane.toMetres.slice()
  for (let i = 0; i < 6; i++) h[i] = h[i]! * factor
  const back = invertHomography(h)
  if (!back) throw new Error(`the map of plane ${line.planeId} cannot be inverted, though it was made by inversion`)

  const points = linePoints(view, line, plane.lens, deviations)
  if (points.some((p) => weight(h, p.x, p.y) <= 0)) return { kind: 'beyond-horizon', laneId }
  const path = pathThrough(
    line.shape,
    points.map((p) => mapped(h, p)),
  )
  if ('kind' in path) return { ...path, laneId }
  return {
    kind: 'lane',
    length_m: path.length,
    project: line.shape === 'straight' ? straightProjection(h, plane.lens, path) : projection(h, plane.lens, path),
    pictureAt: (s_m) => mapped(back, path.at(s_m)),
    path_m: path,
    lens: plane.lens,
    plane,
  }
}

const weight = (h: Homography, x: number, y: number) => h[6]! * x + h[7]! * y + h[8]!

function mapped(h: Homography, p: { readonly x: number; readonly y: number }): Point {
  const w = weight(h, p.x, p.y)
  return { x: (h[0]! * p.x + h[1]! * p.y + h[2]!) / w, y: (h[3]! * p.x + h[4]! * p.y + h[5]!) / w }
}

function projection(h: Homography, lens: LensMap, path: LanePath): LaneGeometry['project'] {
  const on = new Float64Array(4)
  return (x_px, y_px, out) => {
    const u = undistort(lens, x_px, y_px)
    const w = weight(h, u.x, u.y)
    path.project((h[0]! * u.x + h[1]! * u.y + h[2]!) / w, (h[3]! * u.x + h[4]! * u.y + h[5]!) / w, on)
    out[0] = on[0]!
    out[1] = on[1]!
    // Step of the picture that moves one metre along the lane: solve J·e = (dx, dy).
    const [a, b, c, d] = jacobianOf(h, u.x, u.y)
    const det = a * d - b * c
    out[2] = Math.abs(det) / maths.hypot(d * on[2]! - b * on[3]!, a * on[3]! - c * on[2]!)
  }
}

/**
 * As `projection` for a straight path, in one pass without intermediate objects: along and across the lane are themselves projective in the picture,
 * with the homography's rows turned into the lane's direction.
 */
function straightProjection(h: Homography, lens: LensMap, path: LanePath): LaneGeometry['project'] {
  const { x: ax, y: ay, dx, dy } = path.at(0)
  const [w0, w1, w2] = [h[6]!, h[7]!, h[8]!]
  const row = (k: number, p: number, q: number, off: number) => p * h[k]! + q * h[3 + k]! - off * h[6 + k]!
  const offAlong = ax * dx + ay * dy
  const offAcross = ay * dx - ax * dy
  const [s0, s1, s2] = [row(0, dx, dy, offAlong), row(1, dx, dy, offAlong), row(2, dx, dy, offAlong)]
  const [c0, c1, c2] = [row(0, -dy, dx, offAcross), row(1, -dy, dx, offAcross), row(2, -dy, dx, offAcross)]
  const { cx, cy, k1 } = lens
  const k = k1 / (lens.half * lens.half)
  return (x_px, y_px, out) => {
    let x = x_px - cx
    let y = y_px - cy
    if (k !== 0) {
      const q = straighteningFactor(k, x * x + y * y)
      x *= q
      y *= q
    }
    x += cx
    y += cy
    const inverse = 1 / (w0 * x + w1 * y + w2)
    const along = (s0 * x + s1 * y + s2) * inverse
    const across = (c0 * x + c1 * y + c2) * inverse
    // Gradients of along and across; a step along the lane leaves across as it is, so its length is the determinant over |∇ across|.
    const sx = s0 - along * w0
    const sy = s1 - along * w1
    const acrossX = c0 - across * w0
    const acrossY = c1 - across * w1
    out[0] = along
    out[1] = across
    out[2] =
      (Math.abs(sx * acrossY - sy * acrossX) * Math.abs(inverse)) / Math.sqrt(acrossX * acrossX + acrossY * acrossY)
  }
}
