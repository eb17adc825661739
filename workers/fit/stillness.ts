import * as maths from '../elementary/maths.ts'
import { fUpperTail } from './numerics/f-distribution.ts'
import { fitRun, standardisedResiduals, type RunSeries } from './run-fit.ts'

/** Which marks of a run show the ball rolling: from `from` up to but not including `to`. */
export interface Rolling {
  readonly from: number
  readonly to: number
}

/** Marks at one end of a run that might show a ball at rest: those within this many standard uncertainties of the outermost one. */
const nearby = 4
/** A rest is believed when chance would feign it in less than this share of runs. */
const level = 1e-3
const fewestAtRest = 3
/** The end of a rest is found to a mark or two, since motion begins imperceptibly: that many more are left out. */
export const unsure = 2
const fewestRolling = 4

/**
 * Finds the stretch of marks in which the ball rolls: a ball waiting for its release, or lying after it stopped, does not belong to the motion.
 * A rest is taken when a constant position there and a quadratic for the remaining marks explain the run better than one quadratic for all
 * (F test with two further parameters), and the marks in it show no trend.
 */
export function rollingPart(series: RunSeries): Rolling {
  const n = series.t_s.length
  const from = restingMarks(series)
  const to = n - restingMarks(backwards(slice(series, from, n)))
  return { from, to }
}

/** Marks `from` up to but not including `to`, as views of the same memory. */
export function slice(series: RunSeries, from: number, to: number): RunSeries {
  return {
    t_s: series.t_s.subarray(from, to),
    s_m: series.s_m.subarray(from, to),
    sigma_m: series.sigma_m.subarray(from, to),
  }
}

/** Number of marks at the start of a run that show a ball at rest. */
function restingMarks(series: RunSeries): number {
  const n = series.t_s.length
  let most = 0
  while (
    most < n &&
    Math.abs(series.s_m[most]! - series.s_m[0]!) <= nearby * maths.hypot(series.sigma_m[most]!, series.sigma_m[0]!)
  )
    most++
  most = Math.min(most, n - fewestRolling)
  if (most < fewestAtRest) return 0
  const whole = squares(series)
  if (whole === undefined) return 0
  let best = { count: 0, rss: Infinity }
  for (let m = fewestAtRest; m <= most; m++) {
    const rolling = squares(slice(series, m, n))
    const resting = atRest(slice(series, 0, m))
    if (rolling === undefined || resting.trend > 3) continue
    const rss = rolling + resting.rss
    if (rss < best.rss) best = { count: m, rss }
  }
  if (best.count === 0) return 0
  const dof = n - 5
  if (dof < 1) return 0
  const f = (whole - best.rss) / 2 / Math.max(best.rss / dof, Number.MIN_VALUE)
  return f > 0 && fUpperTail(f, 2, dof) < level ? Math.min(best.count + unsure, n - fewestRolling) : 0
}

function squares(series: RunSeries): number | undefined {
  const run = fitRun(series)
  if (!run) return undefined
  return standardisedResiduals(run, series, run.curvature_m_s2).reduce((sum, r) => sum + r * r, 0)
}

/** Weighted scatter about the mean, and the regression on time in units of its scatter. */
function atRest({ t_s, s_m, sigma_m }: RunSeries): { readonly rss: number; readonly trend: number } {
  let [w, wt, ws] = [0, 0, 0]
  for (let i = 0; i < t_s.length; i++) {
    const weight = 1 / sigma_m[i]! ** 2
    w += weight
    wt += weight * (t_s[i]! - t_s[0]!)
    ws += weight * (s_m[i]! - s_m[0]!)
  }
  let [rss, tt, ts] = [0, 0, 0]
  for (let i = 0; i < t_s.length; i++) {
    const weight = 1 / sigma_m[i]! ** 2
    const dt = t_s[i]! - t_s[0]! - wt / w
    const ds = s_m[i]! - s_m[0]! - ws / w
    rss += weight * ds * ds
    tt += weight * dt * dt
    ts += weight * dt * ds
  }
  return { rss, trend: tt > 0 ? Math.abs(ts) / Math.sqrt(tt) : 0 }
}

function backwards({ t_s, s_m, sigma_m }: RunSeries): RunSeries {
  return { t_s: t_s.map((t) => -t).reverse(), s_m: s_m.toReversed(), sigma_m: sigma_m.toReversed() }
}
