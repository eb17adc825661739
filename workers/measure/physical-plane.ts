import * as maths from '../elementary/maths.ts'
import {
  type Deviations,
  type SlowlaneRecord,
  type View,
  noDeviations,
  statedUncertainty,
  valueOf,
} from '../record/index.ts'
import { standHomography } from './camera-plane.ts'
import { type Homography, applyHomography, invertHomography, multiplyHomographies } from './homography.ts'
import { solveLeastSquares } from './least-squares-small.ts'
import { type PlaneMap, planeMapOf } from './plane-map.ts'

/**
 * The map of a rectified plane as a camera with square pixels and its axis through the middle of the picture can have made it: seven unknowns where
 * a free homography has eight, so that noise of the corners cannot shear right angles. For directions; lengths keep the free map, which assumes
 * nothing. Falls back to the free map where the calibration contradicts such a camera (a picture cut out off centre, a side of wrong length).
 */
export function physicalPlane(
  record: SlowlaneRecord,
  view: View,
  planeId: string,
  plane: PlaneMap,
  deviations: Deviations,
): PlaneMap {
  if (plane.anchors.length < 4) return plane
  // Decided on the record as it stands, so that a deviation does not switch the method.
  const still = deviations.size === 0 ? plane : planeMapOf(record, view, planeId, noDeviations)
  const asItStands = still.kind === 'plane' ? fitCamera(record, view, planeId, still, noDeviations) : undefined
  if (!asItStands || asItStands.rms > mostMisfit) return plane
  const fit =
    deviations.size === 0 ? asItStands : fitCamera(record, view, planeId, plane, deviations, asItStands.unknowns)
  if (!fit) return plane
  const toPicture = fit.toPicture
  const toMetres = invertHomography(toPicture)
  return toMetres ? { ...plane, toMetres, toPicture } : plane
}

/** Root mean square misfit of the corners, in placing uncertainties, beyond which the camera is not believed. */
const mostMisfit = 3
/** The distance only steers what the corners leave open; it is trusted no better than this share. */
const leastDistanceDoubt = 0.2

function fitCamera(
  record: SlowlaneRecord,
  view: View,
  planeId: string,
  plane: PlaneMap,
  deviations: Deviations,
  start?: Float64Array,
): { readonly toPicture: Homography; readonly rms: number; readonly unknowns: Float64Array } | undefined {
  const { anchors } = plane
  const distance_m = valueOf(view.distance_m, record.sources, deviations)
  if (!(distance_m > 0)) return undefined
  const doubt = Math.max(leastDistanceDoubt, statedUncertainty(view.distance_m, record.sources) / distance_m)
  const sigma = view.planes[planeId]?.u_px ?? record.settings.placing_px

  // Corners listed the other way round see the plane from behind: its y axis is turned over.
  const [a, b, c] = [anchors[0]!, anchors[1]!, anchors[2]!]
  const seen = (b.at.x - a.at.x) * (c.at.y - a.at.y) - (b.at.y - a.at.y) * (c.at.x - a.at.x)
  const known = (b.x_m - a.x_m) * (c.y_m - a.y_m) - (b.y_m - a.y_m) * (c.x_m - a.x_m)
  const flip = seen * known < 0 ? -1 : 1
  const mx = anchors.reduce((sum, p) => sum + p.x_m, 0) / anchors.length
  const my = anchors.reduce((sum, p) => sum + flip * p.y_m, 0) / anchors.length

  // Unknowns: log focal length, pitch, yaw, roll, place of the camera's foot (x, y) over the distance, log distance over the stated one.
  const mapOf = (q: Float64Array): Homography | undefined => {
    const D = distance_m * maths.exp(q[6]!)
    const stand = { focal_px: maths.exp(q[0]!), pitch_rad: q[1]!, yaw_rad: q[2]!, distance_m: D }
    const fromStand = invertHomography(standHomography(stand, { width: 0, height: 0 }))
    if (!fromStand) return undefined
    const place = Float64Array.of(1, 0, -mx + q[4]! * distance_m, 0, flip, -my + q[5]! * distance_m, 0, 0, 1)
    const [co, si] = [maths.cos(q[3]!), maths.sin(q[3]!)]
    const roll = Float64Array.of(co, -si, view.width / 2, si, co, view.height / 2, 0, 0, 1)
    return multiplyHomographies(roll, multiplyHomographies(fromStand, place))
  }
  const rows = 2 * anchors.length + 1
  const residuals = (q: Float64Array): Float64Array | undefined => {
    const h = mapOf(q)
    if (!h) return undefined
    const out = new Float64Array(rows)
    for (const [i, anchor] of anchors.entries()) {
      const p = applyHomography(h, anchor.x_m, anchor.y_m)
      out[2 * i] = (p.x - anchor.at.x) / sigma
      out[2 * i + 1] = (p.y - anchor.at.y) / sigma
    }
    out[rows - 1] = q[6]! / doubt
    return out
  }

  let q = start ?? startOf(view, plane, distance_m, flip, mx, my)
  let cost = sumOfSquares(residuals(q))
  let damping = 1e-6
  for (let step = 0; step < 60; step++) {
    const here = residuals(q)
    if (!here) return undefined
    const jacobian = new Float64Array((rows + 7) * 7)
    for (let k = 0; k < 7; k++) {
      const h = 1e-6
      const [up, down] = [q.slice(), q.slice()]
      up[k] = up[k]! + h
      down[k] = down[k]! - h
      const [after, before] = [residuals(up), residuals(down)]
      if (!after || !before) return undefined
      for (let i = 0; i < rows; i++) jacobian[i * 7 + k] = (after[i]! - before[i]!) / (2 * h)
    }
    const right = new Float64Array(rows + 7)
    for (let i = 0; i < rows; i++) right[i] = -here[i]!
    for (let k = 0; k < 7; k++) {
      let norm = 0
      for (let i = 0; i < rows; i++) norm += jacobian[i * 7 + k]! ** 2
      jacobian[(rows + k) * 7 + k] = Math.sqrt(damping * norm)
    }
    const change = solveLeastSquares(jacobian, right, rows + 7, 7)
    if (!change) return undefined
    const next = q.map((value, k) => value + change[k]!)
    const now = sumOfSquares(residuals(next))
    if (now <= cost) {
      q = next
      cost = now
      damping = Math.max(1e-15, damping / 100)
      if (maths.norm(change) < 1e-10) break
    } else {
      // Nothing left to gain but rounding.
      if (maths.norm(change) < 1e-7) break
      damping *= 100
      if (damping > 1e6) break
    }
  }
  const toPicture = mapOf(q)
  return toPicture && { toPicture, rms: Math.sqrt(cost / rows), unknowns: q }
}

/** A square-on camera that shows the first two points where they are, roughly. */
function startOf(view: View, plane: PlaneMap, distance_m: number, flip: number, mx: number, my: number): Float64Array {
  const [a, b] = [plane.anchors[0]!, plane.anchors[1]!]
  const length_m = maths.hypot(b.x_m - a.x_m, b.y_m - a.y_m)
  const perMetre = maths.hypot(b.at.x - a.at.x, b.at.y - a.at.y) / length_m
  const roll = maths.atan2(b.at.y - a.at.y, b.at.x - a.at.x) - maths.atan2(flip * (b.y_m - a.y_m), b.x_m - a.x_m)
  const middle = applyHomography(plane.toPicture, mx, flip * my)
  const [ox, oy] = [(middle.x - view.width / 2) / perMetre, (middle.y - view.height / 2) / perMetre]
  const [c, s] = [maths.cos(roll), maths.sin(roll)]
  return Float64Array.of(
    maths.log(perMetre * distance_m),
    0,
    0,
    roll,
    (c * ox + s * oy) / distance_m,
    (c * oy - s * ox) / distance_m,
    0,
  )
}

function sumOfSquares(values: Float64Array | undefined): number {
  return values ? values.reduce((sum, value) => sum + value * value, 0) : Infinity
}
