import { laneStroke } from '../picture/lane-stroke.ts'
import { useRecord } from '../record/store.ts'

export interface Scale {
  readonly from: number
  readonly to: number
}

/** An interval drawn in its row, on a scale common to all rows: bar for the interval, ring for the value. Beyond the scale: an arrow's end. */
export function IntervalBar({
  value,
  interval,
  scale,
  laneId,
  label,
}: {
  readonly value: number
  readonly interval: readonly [number, number]
  readonly scale: Scale
  readonly laneId: string
  /** What a screen reader says in place of the drawing. */
  readonly label: string
}) {
  const record = useRecord((r) => r)
  const { colour } = laneStroke(record, laneId)
  const at = (x: number) => 6 + 188 * Math.min(1, Math.max(0, (x - scale.from) / (scale.to - scale.from)))
  const [low, high] = interval
  return (
    <svg
      className="interval-bar"
      viewBox="0 0 200 14"
      width="200"
      height="14"
      role="img"
      aria-label={label}
      style={{ color: colour }}
    >
      <path d="M0 7 H200" className="interval-ground" />
      <path d={`M${at(low)} 7 H${at(high)}`} stroke="currentColor" strokeWidth="2" />
      {low < scale.from && <path d="M5 3 L1 7 L5 11" fill="none" stroke="currentColor" strokeWidth="1.5" />}
      {high > scale.to && <path d="M195 3 L199 7 L195 11" fill="none" stroke="currentColor" strokeWidth="1.5" />}
      {value >= scale.from && value <= scale.to && (
        <circle cx={at(value)} cy="7" r="3.6" className="interval-ring" stroke="currentColor" strokeWidth="1.8" />
      )}
    </svg>
  )
}

/** A scale that holds all intervals with a little air, and a few round figures on it. */
export function commonScale(
  intervals: readonly (readonly [number, number])[],
): Scale & { readonly ticks: readonly number[] } {
  const finite = intervals.flat().filter(Number.isFinite)
  const low = finite.length > 0 ? Math.min(...finite) : 0
  const high = finite.length > 0 ? Math.max(...finite) : 1
  const span = high > low ? high - low : Math.abs(high) || 1
  const from = low - 0.06 * span
  const to = high + 0.06 * span
  const step = roundStep((to - from) / 3)
  const ticks: number[] = []
  for (let n = Math.ceil(from / step); n * step <= to; n += 1) ticks.push(Number((n * step).toPrecision(12)))
  return { from, to, ticks }
}

/** The nearest of 1, 2, 5 × a power of ten, downwards. */
function roundStep(x: number): number {
  const power = 10 ** Math.floor(Math.log10(x))
  const digit = x / power
  return power * (digit >= 5 ? 5 : digit >= 2 ? 2 : 1)
}
