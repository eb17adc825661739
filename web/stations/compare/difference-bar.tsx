import { laneStroke } from '../../picture/lane-stroke.ts'
import { showPlain } from '../../format/value.ts'
import { useRecord } from '../../record/store.ts'

export interface DifferenceScale {
  readonly from: number
  readonly to: number
  readonly ticks: readonly number[]
}

const width = 220
const at = (scale: DifferenceScale, x: number): number =>
  6 + (width - 12) * Math.min(1, Math.max(0, (x - scale.from) / (scale.to - scale.from)))

/** A difference with its interval; the ground band is what does not matter, the line is no difference. */
export function DifferenceBar({
  value,
  interval: [low, high],
  matters,
  scale,
  laneId,
  label,
}: {
  readonly value: number
  readonly interval: readonly [number, number]
  readonly matters: number
  readonly scale: DifferenceScale
  readonly laneId: string
  readonly label: string
}) {
  const record = useRecord((r) => r)
  const { colour } = laneStroke(record, laneId)
  const x = (v: number) => at(scale, v)
  return (
    <svg
      className="difference-bar"
      viewBox={`0 0 ${width} 22`}
      width={width}
      height="22"
      role="img"
      aria-label={label}
      style={{ color: colour }}
    >
      <rect className="does-not-matter" x={x(-matters)} width={x(matters) - x(-matters)} y="0" height="22" />
      <path className="no-difference" d={`M${x(0)} 0 V22`} />
      <path d={`M${x(low)} 11 H${x(high)}`} stroke="currentColor" strokeWidth="2" />
      <circle cx={x(value)} cy="11" r="4" className="interval-ring" stroke="currentColor" strokeWidth="1.8" />
    </svg>
  )
}

export function DifferenceFigures({ scale }: { readonly scale: DifferenceScale }) {
  return (
    <svg className="scale-figures" viewBox={`0 0 ${width} 14`} width={width} height="14" aria-hidden="true">
      {scale.ticks.map((tick) => (
        <text key={tick} x={at(scale, tick)} y="11" textAnchor="middle">
          {tick > 0 ? '+' : ''}
          {showPlain(tick)}
        </text>
      ))}
    </svg>
  )
}
