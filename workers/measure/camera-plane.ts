import * as maths from '../elementary/maths.ts'
import {
  type Deviations,
  type Plane,
  type Px,
  type SlowlaneRecord,
  type View,
  statedUncertainty,
  valueOf,
} from '../record/index.ts'
import { applyHomography, type Homography } from './homography.ts'
import { solveLeastSquares } from './least-squares-small.ts'
import { type LensMap, undistort } from './lens.ts'
import { placed } from './placing.ts'

export type BarsPlane = Extract<Plane, { kind: 'bars' }>

/** How a camera stands before an upright plane: turned by yaw to the right, then looking down by pitch, at a distance from the plane. */
export interface Stand {
  readonly focal_px: number
  readonly pitch_rad: number
  readonly yaw_rad: number
  readonly distance_m: number
}

/**
 * The map from the undistorted picture to the upright plane a camera stands before, in metres (x right, y down, origin where the camera's foot
 * stands on the plane). Source: pinhole camera with square pixels, axis through the centre of the picture.
 */
export function standHomography(stand: Stand, view: Pick<View, 'width' | 'height'>): Homography {
  const { focal_px: f, distance_m: D } = stand
  const [cp, sp] = [maths.cos(stand.pitch_rad), maths.sin(stand.pitch_rad)]
  const [cy, sy] = [maths.cos(stand.yaw_rad), maths.sin(stand.yaw_rad)]
  // Ray (u, v, 1) with u = (x − cx)/f, v = (y − cy)/f; after pitch: (u, v cp + sp, cp − v sp); after yaw the x and z parts mix.
  const [ox, oy] = [view.width / 2, view.height / 2]
  const rows = [
    [cy, -sp * sy, cp * sy],
    [0, cp, sp],
    [-sy, -sp * cy, cp * cy],
  ] as const
  const h = new Float64Array(9)
  for (const [r, [a, b, c]] of rows.entries()) {
    const k = r < 2 ? D : 1
    h[3 * r] = (k * a) / f
    h[3 * r + 1] = (k * b) / f
    h[3 * r + 2] = k * (c - (a * ox + b * oy) / f)
  }
  return h
}

export interface BarReading {
  readonly id: string
  readonly a: Px
  readonly b: Px
  readonly length_m: number
  readonly u_m: number
  readonly px: number
}

export type StandProblem =
  | { readonly kind: 'no-bars' }
  | { readonly kind: 'bar-length'; readonly barId: string; readonly length_m: number }
  | { readonly kind: 'bar-short'; readonly barId: string; readonly px: number; readonly need: number }
  | { readonly kind: 'distance'; readonly distance_m: number }
  | { readonly kind: 'stand-unsolved' }

/** Bars shorter than this in the picture are refused: half a pixel at each end is then more than 3 %. */
export const shortestBar_px = 20

/** The bars of a plane as they stand in the undistorted picture, or why one cannot serve. */
export function readBars(
  record: SlowlaneRecord,
  view: View,
  plane: BarsPlane,
  lens: LensMap,
  deviations: Deviations,
): BarReading[] | StandProblem {
  if (plane.bars.length === 0) return { kind: 'no-bars' }
  const readings: BarReading[] = []
  for (const bar of plane.bars) {
    const length_m = valueOf(bar.length_m, record.sources, deviations)
    if (!(length_m > 0)) return { kind: 'bar-length', barId: bar.id, length_m }
    const where = [view.id, 'plane', plane.id] as const
    const a0 = placed(bar.a, where, `${bar.id}-a`, deviations)
    const b0 = placed(bar.b, where, `${bar.id}-b`, deviations)
    const a = undistort(lens, a0.x, a0.y)
    const b = undistort(lens, b0.x, b0.y)
    const px = maths.hypot(b.x - a.x, b.y - a.y)
    if (!(px >= shortestBar_px)) return { kind: 'bar-short', barId: bar.id, px, need: shortestBar_px }
    const placing = (Math.SQRT2 * (plane.u_px ?? record.settings.placing_px) * length_m) / px
    const u_m = maths.hypot(statedUncertainty(bar.length_m, record.sources), placing)
    readings.push({ id: bar.id, a, b, length_m, u_m, px })
  }
  return readings
}

/** A string or edge in the undistorted picture; `level`: it stands square to gravity; `u_rad`: how well its direction is known. */
export interface Upright {
  readonly a: Px
  readonly b: Px
  readonly level: boolean
  readonly u_rad: number
}

/**
 * How the camera stands, from bars: least squares of focal length, pitch and yaw on the bars' lengths, on plumb lines being parallel in the
 * plane, and on pitch and yaw as stated. One bar alone finds the focal length only; pitch and yaw then stay as stated, and their uncertainty
 * is passed on through their sources.
 */
export function standFromBars(
  record: SlowlaneRecord,
  view: View,
  bars: readonly BarReading[],
  plumbs: readonly Upright[],
  deviations: Deviations,
): Stand | StandProblem {
  const distance_m = valueOf(view.distance_m, record.sources, deviations)
  if (!(distance_m > 0)) return { kind: 'distance', distance_m }
  const pitch = valueOf(view.pitch_rad, record.sources, deviations)
  const yaw = valueOf(view.yaw_rad, record.sources, deviations)
  const free = bars.length > 1 || plumbs.length > 1
  const uPitch = free ? statedUncertainty(view.pitch_rad, record.sources) : 0
  const uYaw = free ? statedUncertainty(view.yaw_rad, record.sources) : 0
  const first = bars[0]
  if (!first) return { kind: 'no-bars' }

  const standAt = (q: Float64Array): Stand => ({
    focal_px: maths.exp(q[0]!),
    pitch_rad: pitch + (uPitch > 0 ? q[1]! * uPitch : 0),
    yaw_rad: yaw + (uYaw > 0 ? q[2]! * uYaw : 0),
    distance_m,
  })
  const rows = bars.length + plumbs.length + 2
  const residuals = (q: Float64Array): Float64Array => {
    const h = standHomography(standAt(q), view)
    const out = new Float64Array(rows)
    for (const [i, bar] of bars.entries()) out[i] = (spanOn(h, bar.a, bar.b) - bar.length_m) / bar.u_m
    if (plumbs.length > 1) {
      const { angles, mean } = gravityOn(h, plumbs)
      for (const [i, line] of plumbs.entries()) out[bars.length + i] = (angles[i]! - mean) / line.u_rad
    }
    out[rows - 2] = uPitch > 0 ? q[1]! : 0
    out[rows - 1] = uYaw > 0 ? q[2]! : 0
    return out
  }
  // Three unknowns, of which those taken as exact get a row of their own that holds them at 0.
  const q = Float64Array.of(maths.log((distance_m * first.px) / first.length_m), 0, 0)
  for (let step = 0; step < 25; step++) {
    const here = residuals(q)
    const a = new Float64Array((rows + 2) * 3)
    const b = new Float64Array(rows + 2)
    for (let k = 0; k < 3; k++) {
      const h = k === 0 ? 1e-6 : 1e-4
      const after = residuals(q.map((value, j) => (j === k ? value + h : value)))
      const before = residuals(q.map((value, j) => (j === k ? value - h : value)))
      for (let i = 0; i < rows; i++) a[i * 3 + k] = (after[i]! - before[i]!) / (2 * h)
    }
    for (let i = 0; i < rows; i++) b[i] = -here[i]!
    if (uPitch === 0) a[rows * 3 + 1] = 1
    if (uYaw === 0) a[(rows + 1) * 3 + 2] = 1
    const change = solveLeastSquares(a, b, rows + 2, 3)
    if (!change) return { kind: 'stand-unsolved' }
    for (let k = 0; k < 3; k++) q[k] = q[k]! + change[k]!
    if (Math.abs(change[0]!) < 1e-13 && maths.hypot(change[1]!, change[2]!) < 1e-10) break
  }
  return q.every(Number.isFinite) ? standAt(q) : { kind: 'stand-unsolved' }
}

/** Length [m] on the plane between two points of the undistorted picture. */
export function spanOn(h: Homography, a: Px, b: Px): number {
  const p = applyHomography(h, a.x, a.y)
  const q = applyHomography(h, b.x, b.y)
  return maths.hypot(q.x - p.x, q.y - p.y)
}

/**
 * Direction of gravity on the plane from strings and level edges: the angle [rad] of the first, turned by the weighted mean of what the others
 * say against it (`angles`, each within ± π/2 of it). At least one line.
 */
export function gravityOn(
  h: Homography,
  lines: readonly Upright[],
): { readonly first_rad: number; readonly angles: readonly number[]; readonly mean: number } {
  const directions = lines.map((line) => {
    const p = applyHomography(h, line.a.x, line.a.y)
    const q = applyHomography(h, line.b.x, line.b.y)
    return maths.atan2(q.y - p.y, q.x - p.x) + (line.level ? Math.PI / 2 : 0)
  })
  const first_rad = directions[0]!
  let sum = 0
  let weights = 0
  const angles = directions.map((direction, i) => {
    const angle = withinQuarter(direction - first_rad)
    const weight = 1 / lines[i]!.u_rad ** 2
    sum += weight * angle
    weights += weight
    return angle
  })
  return { first_rad, angles, mean: sum / weights }
}

/** The same line's angle within ± π/2: a line has no front end. */
function withinQuarter(angle: number): number {
  return angle - Math.PI * Math.round(angle / Math.PI)
}
