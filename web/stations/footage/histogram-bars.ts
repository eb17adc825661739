export interface Bar {
  readonly interval_ms: number
  readonly count: number
  /** 0 … 1, by the logarithm of the count: a single odd interval still shows. */
  readonly height: number
}

/** At most this many bars; more different intervals are gathered into classes of equal width. */
const mostBars = 24

/** Bars of a clip's interval histogram in rising order of the interval. */
export function histogramBars(
  histogram: readonly { readonly ticks: number; readonly count: number }[],
  timescale_hz: number,
): readonly Bar[] {
  if (histogram.length === 0 || !(timescale_hz > 0)) return []
  const rising = [...histogram].sort((a, b) => a.ticks - b.ticks)
  const gathered = rising.length <= mostBars ? rising : inClasses(rising)
  const most = Math.log1p(Math.max(...gathered.map((bar) => bar.count)))
  return gathered.map(({ ticks, count }) => ({
    interval_ms: (1000 * ticks) / timescale_hz,
    count,
    height: Math.log1p(count) / most,
  }))
}

function inClasses(rising: readonly { ticks: number; count: number }[]): { ticks: number; count: number }[] {
  const least = rising[0]!.ticks
  const width = (rising.at(-1)!.ticks - least) / mostBars
  const counts = new Map<number, number>()
  for (const { ticks, count } of rising) {
    const number = Math.min(mostBars - 1, Math.floor((ticks - least) / width))
    counts.set(number, (counts.get(number) ?? 0) + count)
  }
  return [...counts]
    .sort(([a], [b]) => a - b)
    .map(([number, count]) => ({ ticks: least + (number + 0.5) * width, count }))
}
