import { samplesOf, type Samples, type Setting } from '../measure/samples.ts'
import { noDeviations, type Deviations, type SlowlaneRecord } from '../record/index.ts'
import type { RunProblem } from './problems.ts'
import { fitRun, type RunSeries } from './run-fit.ts'
import { rollingPart, slice, unsure } from './stillness.ts'

/** Fewest marks that carry start, speed and acceleration with something left to see the scatter by. */
export const fewestMarks = 4

/** A run with what of it is used. Decided once, without deviations. */
export interface UsableRun {
  readonly kind: 'usable'
  readonly runId: string
  readonly viewId: string
  readonly series: RunSeries
  /** Index of each used mark in the run's columns. */
  readonly mark: readonly number[]
  readonly from: number
  readonly to: number
  readonly resting: { readonly before: number; readonly after: number }
  /** Where the ball lay before its release [m]; null where it was not seen to. */
  readonly rest_m: number | null
  /** Sense of the travel along the lane line. */
  readonly travel: 1 | -1
}

/** Reads a run and finds the stretch in which the ball rolls, or why there is none. */
export function usableRun(record: SlowlaneRecord, runId: string, setting?: Setting): UsableRun | RunProblem {
  const samples = samplesOf(record, runId, noDeviations, setting)
  if (samples.kind !== 'samples')
    return samples.kind === 'no-marks'
      ? { kind: 'too-few-marks', runId, have: 0, need: fewestMarks }
      : { kind: 'not-in-metres', runId, cause: samples }
  const n = samples.t_s.length
  if (n < fewestMarks) return { kind: 'too-few-marks', runId, have: n, need: fewestMarks }
  for (let i = 1; i < n; i++) {
    const step_s = samples.t_s[i]! - samples.t_s[i - 1]!
    if (!(step_s > 0)) return { kind: 'time-not-rising', runId, mark: samples.mark[i]!, step_s }
  }
  const still = motionless(samples)
  if (still) return still
  const { from, to } = rollingPart(samples)
  if (to - from < fewestMarks)
    return { kind: 'mostly-at-rest', runId, resting: n - (to - from), left: Math.max(0, to - from) }
  const series = slice(samples, from, to)
  const fit = fitRun(series)
  if (!fit) return { kind: 'too-few-marks', runId, have: to - from, need: fewestMarks }
  return {
    kind: 'usable',
    runId,
    viewId: record.runs[runId]!.viewId,
    series,
    mark: Array.from(samples.mark.subarray(from, to)),
    from,
    to,
    resting: { before: from, after: n - to },
    rest_m: restingPlace(samples.s_m, restingMarks({ resting: { before: from, after: n - to } })),
    travel: series.s_m[series.s_m.length - 1]! >= series.s_m[0]! ? 1 : -1,
  }
}

/** The same marks with the sources moved, and the place where the ball lay before, where it was seen to lie. */
export function movedSeries(
  record: SlowlaneRecord,
  run: UsableRun,
  deviations: Deviations,
  setting: Setting,
): { readonly series: RunSeries; readonly rest_m: number | null } | undefined {
  const samples = samplesOf(record, run.runId, deviations, setting)
  if (samples.kind !== 'samples') return undefined
  const moved = slice(samples, run.from, run.to)
  // The weights stay: they say how well a mark was placed, which no source of scale or time changes by much.
  const series = { t_s: moved.t_s, s_m: moved.s_m, sigma_m: run.series.sigma_m }
  return { series, rest_m: restingPlace(samples.s_m, restingMarks(run)) }
}

/** How many marks surely show the ball before its release. */
export function restingMarks(run: Pick<UsableRun, 'resting'>): number {
  return Math.max(0, run.resting.before - unsure)
}

function restingPlace(s_m: Float64Array, count: number): number | null {
  if (count === 0) return null
  let sum = 0
  for (let i = 0; i < count; i++) sum += s_m[i]!
  return sum / count
}

/** Marks that lie on one spot, or whose whole travel their noise explains. */
function motionless({ runId, s_m, sigma_m }: Samples): RunProblem | undefined {
  let [least, most, noise] = [Infinity, -Infinity, 0]
  for (let i = 0; i < s_m.length; i++) {
    least = Math.min(least, s_m[i]!)
    most = Math.max(most, s_m[i]!)
    noise += sigma_m[i]! / s_m.length
  }
  if (most - least === 0) return { kind: 'one-spot', runId }
  // The range of n normal values stays below 6σ up to n ≈ 1000 (tables of the studentised range).
  return most - least < 6 * noise ? { kind: 'never-moves', runId, moved_m: most - least, noise_m: noise } : undefined
}
