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

const fewestMarks = 6

/**
 * Filming rate from a ball in free fall: its positions on the plane are a parabola in frames, whose second derivative is g/rate². The fall's own
 * direction is used, found from the same fit, so that no plumb line is needed. Air drag is left out (a steel ball of 16 mm over half a metre:
 * −0.15 % of the rate's square; computed from drag ½·ρ·C_d·A·v²).
 */
export function fallRate(
  record: SlowlaneRecord,
  view: View,
  clip: Clip,
  fall: FreeFall,
  deviations: Deviations,
): MeasuredRate | FallProblem {
  const n = Math.min(fall.points.length, fall.ticks.length)
  if (n < fewestMarks) return { kind: 'fall-few-marks', have: n, need: fewestMarks }
  const plane = planeMapOf(record, view, fall.planeId, deviations)
  if (plane.kind !== 'plane') return plane
  const perTick = clip.fileRate_hz / clip.timescale
  const first = fall.ticks[0]!
  const time = fall.ticks.slice(0, n).map((tick) => (tick - first) * perTick)
  const half = time[n - 1]! / 2
  if (!(half > 0)) return { kind: 'fall-few-marks', have: 1, need: fewestMarks }
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
  if (!x || !y) return { kind: 'fall-few-marks', have: n, need: fewestMarks }
  const perFrame2_m = Math.hypot(x.bend, y.bend)
  const [ux, uy] = [x.bend / perFrame2_m, y.bend / perFrame2_m]
  let rss = 0
  for (let i = 0; i < n; i++) rss += (ux * x.rest[i]! + uy * y.rest[i]!) ** 2
  const dof = n - 3
  const u = Math.sqrt(rss / dof) * x.spread
  if (!(perFrame2_m > 4 * u)) return { kind: 'fall-not-falling', perFrame2_m, u }
  const g = valueOf(record.settings.gravity.g_m_s2, record.sources, deviations)
  return { kind: 'rate', rate_hz: Math.sqrt(g / perFrame2_m), uRelative: u / perFrame2_m / 2, dof }
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
