import * as maths from '../elementary/maths.ts'
import { type Clip, type Deviations, type SlowlaneRecord, type View, valueOf } from '../record/index.ts'
import type { MeasuredRate } from './clip-clock.ts'
import { applyHomography } from './homography.ts'
import { solveLeastSquares } from './least-squares-small.ts'
import { undistort } from './lens.ts'
import { type PlaneProblem, planeMapOf } from './plane-map.ts'

export type FreeFall = Extract<Extract<View['timebase'], { kind: 'measured' }>['clock'], { kind: 'free-fall' }>

export type FallProblem =
  | { readonly kind: 'fall-few-marks'; readonly have: number; readonly need: number }
  | { readonly kind: 'fall-not-falling'; readonly perFrame2_m: number; readonly u: number }
  | PlaneProblem

export const fewestFallMarks = 6

/** A fall as its marks show it, along its own direction, against the parabola that fits best. */
export interface FallFit {
  readonly kind: 'fall'
  /** Frames since the first mark. */
  readonly time: readonly number[]
  /** Way fallen since the first mark, and what the parabola says [m]. */
  readonly fallen_m: readonly number[]
  readonly fitted_m: readonly number[]
  /** Gain of speed [m per frame²], its standard uncertainty from the scatter, and degrees of freedom. */
  readonly perFrame2_m: number
  readonly u_m: number
  readonly dof: number
}

/**
 * The parabola in frames through the marks of a falling ball on its plane. The fall's own direction is used, found from the same fit, so that no
 * plumb line is needed.
 */
export function fallFit(
  record: SlowlaneRecord,
  view: View,
  clip: Clip,
  fall: FreeFall,
  deviations: Deviations,
): FallFit | FallProblem {
  const n = Math.min(fall.points.length, fall.ticks.length, fall.frames.length)
  if (n < fewestFallMarks) return { kind: 'fall-few-marks', have: n, need: fewestFallMarks }
  const plane = planeMapOf(record, view, fall.planeId, deviations)
  if (plane.kind !== 'plane') return plane
  // Where the file's timestamps are not the camera's rhythm, the frames' numbers are.
  const even = (view.timebase.kind === 'measured' && view.timebase.spacing === 'even') || (clip.pieces?.length ?? 0) > 0
  const perTick = clip.fileRate_hz / clip.timescale
  const time = Array.from({ length: n }, (_, i) =>
    even ? fall.frames[i]! - fall.frames[0]! : (fall.ticks[i]! - fall.ticks[0]!) * perTick,
  )
  const half = time[n - 1]! / 2
  if (!(half > 0)) return { kind: 'fall-few-marks', have: 1, need: fewestFallMarks }
  const xs = new Float64Array(n)
  const ys = new Float64Array(n)
  for (let i = 0; i < n; i++) {
    // How well each point is placed shows in the scatter about the parabola, so it is no source of its own.
    const straight = undistort(plane.lens, fall.points[i]!.x, fall.points[i]!.y)
    const p = applyHomography(plane.toMetres, straight.x, straight.y)
    xs[i] = p.x
    ys[i] = p.y
  }
  const x = parabola(time, xs, half)
  const y = parabola(time, ys, half)
  if (!x || !y) return { kind: 'fall-few-marks', have: n, need: fewestFallMarks }
  const perFrame2_m = maths.hypot(x.bend, y.bend)
  const [ux, uy] = [x.bend / perFrame2_m, y.bend / perFrame2_m]
  const along = time.map((_, i) => ux * (xs[i]! - xs[0]!) + uy * (ys[i]! - ys[0]!))
  const rest = time.map((_, i) => ux * x.rest[i]! + uy * y.rest[i]!)
  const dof = n - 3
  const u_m = Math.sqrt(rest.reduce((sum, r) => sum + r * r, 0) / dof) * x.spread
  if (!(perFrame2_m > 4 * u_m)) return { kind: 'fall-not-falling', perFrame2_m, u: u_m }
  return { kind: 'fall', time, fallen_m: along, fitted_m: along.map((s, i) => s - rest[i]!), perFrame2_m, u_m, dof }
}

/**
 * Filming rate from a ball in free fall: its gain of speed per frame² is g/rate². Air drag is left out (a steel ball of 16 mm over half a metre:
 * −0.15 % of the rate's square; computed from drag ½·ρ·C_d·A·v²).
 */
export function fallRate(
  record: SlowlaneRecord,
  view: View,
  clip: Clip,
  fall: FreeFall,
  deviations: Deviations,
): MeasuredRate | FallProblem {
  const fit = fallFit(record, view, clip, fall, deviations)
  if (fit.kind !== 'fall') return fit
  const { perFrame2_m, u_m, dof } = fit
  const g = valueOf(record.settings.gravity.g_m_s2, record.sources, deviations)
  return { kind: 'rate', rate_hz: Math.sqrt(g / perFrame2_m), uRelative: u_m / perFrame2_m / 2, dof }
}

/** Second derivative per frame² of a series over time, its residuals, and what one unit of noise does to the derivative. */
function parabola(time: readonly number[], values: Float64Array, half: number) {
  const n = values.length
  const design = () => {
    const a = new Float64Array(3 * n)
    for (let i = 0; i < n; i++) {
      const q = time[i]! / half - 1
      a.set([1, q, (q * q) / 2], 3 * i)
    }
    return a
  }
  const fit = solveLeastSquares(design(), values.slice(), n, 3)
  if (!fit) return undefined
  const rest = values.map((value, i) => {
    const q = time[i]! / half - 1
    return value - fit[0]! - fit[1]! * q - (fit[2]! * q * q) / 2
  })
  // The derivative is linear in the values: its spread is the norm of what each value does to it.
  let sum = 0
  for (let i = 0; i < n; i++) {
    const one = new Float64Array(n)
    one[i] = 1
    sum += (solveLeastSquares(design(), one, n, 3)?.[2] ?? Infinity) ** 2
  }
  return { bend: fit[2]! / half ** 2, rest, spread: Math.sqrt(sum) / half ** 2 }
}
