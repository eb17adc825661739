/** How far apart the frames of a clip lie, by their timestamps. Empty histogram for fewer than two frames. */
export interface IntervalStatistics {
  readonly min_s: number
  readonly median_s: number
  readonly mean_s: number
  readonly max_s: number
  /** Every interval that occurs, in ticks, commonest first (at most `histogramRows` of them). */
  readonly histogram: readonly { readonly ticks: number; readonly count: number }[]
  /** How many different intervals occur, also those the histogram leaves out. */
  readonly distinct: number
  /** True when no interval is further than one tick, or 2 % (whichever is more), from the median. */
  readonly steady: boolean
}

/** Rows kept of the histogram: a clip of jittering timestamps has thousands, and nobody reads them. */
const histogramRows = 200

/** Statistics of the intervals between sorted timestamps [ticks] of a clip with `timescale_hz` ticks per second.
 *  All zero for fewer than two frames or a source without time. */
export function intervalStatistics(ticks: Float64Array, timescale_hz: number): IntervalStatistics {
  const n = ticks.length - 1
  if (n < 1 || timescale_hz <= 0) {
    return { min_s: 0, median_s: 0, mean_s: 0, max_s: 0, histogram: [], distinct: 0, steady: true }
  }
  const steps = new Float64Array(n)
  const counts = new Map<number, number>()
  for (let i = 0; i < n; i++) {
    const step = (ticks[i + 1] ?? 0) - (ticks[i] ?? 0)
    steps[i] = step
    counts.set(step, (counts.get(step) ?? 0) + 1)
  }
  steps.sort()
  const min = steps[0] ?? 0
  const max = steps[n - 1] ?? 0
  const median = ((steps[(n - 1) >> 1] ?? 0) + (steps[n >> 1] ?? 0)) / 2
  const slack = Math.max(1, 0.02 * median)
  const histogram = [...counts]
    .map(([step, count]) => ({ ticks: step, count }))
    .sort((a, b) => b.count - a.count || a.ticks - b.ticks)
  return {
    min_s: min / timescale_hz,
    median_s: median / timescale_hz,
    mean_s: ((ticks[n] ?? 0) - (ticks[0] ?? 0)) / n / timescale_hz,
    max_s: max / timescale_hz,
    histogram: histogram.slice(0, histogramRows),
    distinct: histogram.length,
    steady: max - median <= slack && median - min <= slack,
  }
}

/** Mean rate of the timestamps [1/s]: intervals over the time they span; null where there is no time. */
export function meanRate_hz(ticks: Float64Array, timescale_hz: number): number | null {
  const span = (ticks[ticks.length - 1] ?? 0) - (ticks[0] ?? 0)
  return span > 0 && timescale_hz > 0 ? ((ticks.length - 1) * timescale_hz) / span : null
}
