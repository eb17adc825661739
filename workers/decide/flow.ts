import * as maths from '../elementary/maths.ts'
import { normalCdf } from '../fit/numerics/normal.ts'
import type { RunResult } from '../fit/results.ts'
import type { SlowlaneRecord } from '../record/index.ts'
import { ballsOnLane, capacity_per_s, releaseInterval_s, standardisedClearance } from '../physics/queue.ts'
import type { LaneSetting } from './lane-setting.ts'
import { mean } from './rank-tests.ts'
import { variance } from './two-samples.ts'

export interface Spread {
  readonly mean: number
  /** Standard deviation; null from one value. */
  readonly scatter: number | null
  readonly n: number
}

/** Balls on a lane, as they followed each other in the clips, or at an interval that was typed. */
export interface Flow {
  readonly kind: 'flow'
  readonly basis: 'filmed' | 'typed'
  /** Between one ball and the next at the entry [s]. */
  readonly interval: Spread
  readonly rate_per_s: number
  /** Balls on the filmed part of the lane at once, on average. */
  readonly onLane: number
  /** From centre to centre at the exit [m]. */
  readonly spacing: Spread
  /** Standard deviation of the time on the lane [s]; null from one run. */
  readonly transitScatter_s: number | null
  /** Chance that a ball touches the one before it, at the place where they come nearest; null without scatter. */
  readonly touch: number | null
  /** Where balls are slowest [m/s], and how many just touching ones pass there in a second. */
  readonly slowest_m_s: number
  readonly capacity_per_s: number
  /** Least interval from one gate, let go at rest [s]; null where balls do not gain speed. */
  readonly gateInterval_s: number | null
}

export type NoFlow =
  { readonly kind: 'one-ball-at-a-time' } | { readonly kind: 'interval-not-positive'; readonly interval_s: number }

/**
 * Flow from the intervals between runs of the same clip, or at a typed interval [s]. Spacings at the exit carry the scatter of the transit too.
 * P(touch) = Φ((2R/v − τ)/√(2σ_T² + σ_τ²)) at the slowest place and at the exit, the greater.
 */
export function flowOf(record: SlowlaneRecord, setting: LaneSetting, typed_s: number | null = null): Flow | NoFlow {
  if (typed_s !== null && !(typed_s > 0)) return { kind: 'interval-not-positive', interval_s: typed_s }
  const { series, radius_m } = setting
  const entry_m = series.entry!.at_m
  const exit_m = series.exit!.at_m
  const filmed = intervalsOf(record, series.runs, entry_m)
  if (typed_s === null && filmed.length === 0) return { kind: 'one-ball-at-a-time' }
  const interval = typed_s === null ? spreadOf(filmed) : { mean: typed_s, scatter: null, n: 0 }
  const transits = series.runs.flatMap((run) => (run.transit ? [run.transit.value] : []))
  const transitScatter_s = transits.length > 1 ? Math.sqrt(variance(transits)) : null
  const exitSpeed = series.exit!.filmed.value
  const atExit = intervalsOf(record, series.runs, exit_m).map((interval_s) => interval_s * exitSpeed)
  const spacing =
    typed_s === null && atExit.length > 0
      ? spreadOf(atExit)
      : {
          mean: interval.mean * exitSpeed,
          scatter: transitScatter_s === null ? null : Math.SQRT2 * transitScatter_s * exitSpeed,
          n: 0,
        }
  const slowest_m_s = Math.min(...series.speeds.speed_m_s, exitSpeed)
  const a = series.acceleration.value
  return {
    kind: 'flow',
    basis: typed_s === null ? 'filmed' : 'typed',
    interval,
    rate_per_s: 1 / interval.mean,
    onLane: ballsOnLane(1 / interval.mean, series.transit?.value ?? mean(transits)),
    spacing,
    transitScatter_s,
    touch: touchChance(interval, transitScatter_s, slowest_m_s, exitSpeed, radius_m),
    slowest_m_s,
    capacity_per_s: capacity_per_s(slowest_m_s, radius_m),
    gateInterval_s: a > 0 ? releaseInterval_s(radius_m, a) : null,
  }
}

function touchChance(
  interval: Spread,
  transitScatter_s: number | null,
  slowest_m_s: number,
  exit_m_s: number,
  radius_m: number,
): number | null {
  if (transitScatter_s === null) return null
  // At the slowest place the transit has not scattered yet where that is the entry; taken in full, which is the safe side.
  const scatter = maths.hypot(transitScatter_s, (interval.scatter ?? 0) / Math.SQRT2)
  if (!(scatter > 0)) return null
  return Math.max(
    ...[slowest_m_s, exit_m_s].map((v) => normalCdf(-standardisedClearance(interval.mean, v, radius_m, scatter))),
  )
}

/** Times between neighbouring balls of the same clip at a place [s]. */
function intervalsOf(record: SlowlaneRecord, runs: readonly RunResult[], at_m: number): number[] {
  const byClip = new Map<string, number[]>()
  for (const run of runs) {
    const time = timeAt(run, at_m)
    const clipId = record.runs[run.runId]?.clipId
    if (time !== null && clipId !== undefined) byClip.set(clipId, [...(byClip.get(clipId) ?? []), time])
  }
  return [...byClip.values()].flatMap((times) => {
    const sorted = times.sort((a, b) => a - b)
    return sorted.slice(1).map((time, i) => time - sorted[i]!)
  })
}

/** When the fitted motion of a run passes a place: between the two marks beside it, without their scatter. */
function timeAt({ residuals }: RunResult, at_m: number): number | null {
  const fitted = residuals.s_m.map((s, i) => s - residuals.residual_m[i]!)
  for (let i = 1; i < fitted.length; i++) {
    const [a, b] = [fitted[i - 1]!, fitted[i]!]
    if (a <= at_m && at_m <= b && b > a)
      return residuals.t_s[i - 1]! + ((at_m - a) / (b - a)) * (residuals.t_s[i]! - residuals.t_s[i - 1]!)
  }
  // A hair beyond the first or last mark, by rounding.
  const [first, last] = [fitted[0], fitted.at(-1)]
  if (first !== undefined && Math.abs(first - at_m) < 2e-3) return residuals.t_s[0]!
  if (last !== undefined && Math.abs(last - at_m) < 2e-3) return residuals.t_s.at(-1)!
  return null
}

function spreadOf(values: readonly number[]): Spread {
  return {
    mean: mean(values),
    scatter: values.length > 1 ? Math.sqrt(variance(values)) : null,
    n: values.length,
  }
}

export type Filling =
  | { readonly kind: 'never-fills' }
  | { readonly kind: 'fills'; readonly after_s: number; readonly holds: number }
  | { readonly kind: 'over-capacity'; readonly capacity_per_s: number }

/**
 * How long until the filmed part of the lane stands full when its exit lets through only `exitRate_per_s`: room for (L/2R − balls on it) more, which fills at
 * the difference of the rates. `over-capacity`: the balls come faster than the lane can carry them at all.
 */
export function fillTime(flow: Flow, setting: LaneSetting, exitRate_per_s: number): Filling {
  if (flow.rate_per_s > flow.capacity_per_s) return { kind: 'over-capacity', capacity_per_s: flow.capacity_per_s }
  const excess = flow.rate_per_s - exitRate_per_s
  if (!(excess > 0)) return { kind: 'never-fills' }
  const holds = Math.floor(setting.length_m / (2 * setting.radius_m))
  return { kind: 'fills', after_s: Math.max(0, holds - flow.onLane) / excess, holds }
}
