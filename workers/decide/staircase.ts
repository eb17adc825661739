import type { LaneResult, SeriesResult } from '../fit/results.ts'
import type { Estimate } from '../record/index.ts'
import { variance } from './two-samples.ts'

/** When the ball of a lane arrives if all lanes let theirs go at once, and where it is until then. */
export interface Arrival {
  readonly laneId: string
  readonly finishId: string
  /** From the entry to the exit of the part that was filmed [m]. */
  readonly length_m: number
  readonly time: Estimate
  /** Standard deviation of the time from ball to ball [s]; null from one run. */
  readonly scatter_s: number | null
  /** Way from the entry [m] against time [s], both rising from 0; columns of equal length. */
  readonly t_s: readonly number[]
  readonly way_m: readonly number[]
}

/** Arrivals in their order. Each ball goes as the mean of the runs filmed, with the speed they had at the entry. Lanes without runs down are left out. */
export function arrivals(results: readonly LaneResult[]): readonly Arrival[] {
  return results.flatMap((result) => arrivalOf(result) ?? []).sort((a, b) => a.time.value - b.time.value)
}

function arrivalOf(result: LaneResult): Arrival | undefined {
  const series = result.main === null ? undefined : result.series[result.main]
  if (!series || series.travel !== 1 || !series.transit || !series.entry || !series.exit) return undefined
  const times = series.runs.flatMap((run) => (run.transit ? [run.transit.value] : []))
  const { t_s, way_m } = motionOf(series, series.entry.at_m, series.exit.at_m)
  const end = t_s.at(-1) ?? 0
  if (!(end > 0)) return undefined
  // The mean transit of the runs and the transit at their mean speed differ in the fourth figure: the picture ends when the number says.
  const scale = series.transit.value / end
  return {
    laneId: result.laneId,
    finishId: result.finishId,
    length_m: series.exit.at_m - series.entry.at_m,
    time: series.transit,
    scatter_s: times.length > 1 ? Math.sqrt(variance(times)) : null,
    t_s: t_s.map((t) => t * scale),
    way_m,
  }
}

/** Between neighbouring places the acceleration is taken as constant: Δt = 2Δs/(v₁ + v₂). */
function motionOf(
  { speeds }: SeriesResult,
  from_m: number,
  to_m: number,
): { readonly t_s: readonly number[]; readonly way_m: readonly number[] } {
  const t_s = [0]
  const way_m = [0]
  const inside = speeds.at_m.flatMap((at, i) =>
    at >= from_m - 1e-9 && at <= to_m + 1e-9 ? [[at, speeds.speed_m_s[i]!] as const] : [],
  )
  for (let i = 1; i < inside.length; i++) {
    const [[s1, v1], [s2, v2]] = [inside[i - 1]!, inside[i]!]
    if (!(v1 + v2 > 0)) break
    t_s.push(t_s.at(-1)! + (2 * (s2 - s1)) / (v1 + v2))
    way_m.push(s2 - inside[0]![0])
  }
  return { t_s, way_m }
}

/** Way from the entry [m] at a time [s]; after the arrival the whole length. */
export function wayAt({ t_s, way_m }: Pick<Arrival, 't_s' | 'way_m'>, time_s: number): number {
  const last = t_s.length - 1
  if (time_s >= t_s[last]!) return way_m[last]!
  let i = 1
  while (i < last && t_s[i]! < time_s) i++
  const share = (time_s - t_s[i - 1]!) / (t_s[i]! - t_s[i - 1]!)
  return way_m[i - 1]! + Math.max(0, share) * (way_m[i]! - way_m[i - 1]!)
}
