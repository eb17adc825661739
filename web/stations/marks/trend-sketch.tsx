import { showPlain } from '../../format/value.ts'
import type { QuickLook } from './quick-look.ts'

interface Props {
  readonly look: Extract<QuickLook, { kind: 'look' }>
  readonly colour: string
  /** Index of the sample on the frame shown; −1 when it has none. */
  readonly current: number
}

const width = 320
const tall = 130
const strip = 44
/** Room for the figures at the left. */
const left = 42

/** Position against time with the trend through it, and what is left over below: a slip of the hand stands out at once. */
export function TrendSketch({ look, colour, current }: Props) {
  const { samples, trend, residuals_m } = look
  const n = samples.t_s.length
  if (n < 2) return null
  const t0 = samples.t_s[0]!
  const t1 = samples.t_s[n - 1]!
  const s0 = Math.min(...samples.s_m)
  const s1 = Math.max(...samples.s_m)
  const x = (t: number) => left + ((t - t0) / (t1 - t0 || 1)) * (width - left - 10)
  const y = (s: number) => tall - 18 - ((s - s0) / (s1 - s0 || 1)) * (tall - 30)
  const line = trend
    ? Array.from({ length: 41 }, (_, i) => t0 + ((t1 - t0) * i) / 40)
        .map((t, i) => `${i === 0 ? 'M' : 'L'}${x(t).toFixed(1)} ${y(trend.at(t)).toFixed(1)}`)
        .join('')
    : ''
  const dot = n > 120 ? 1 : 2
  const most = Math.max(1e-6, ...residuals_m.map(Math.abs))
  const r = (value: number) => strip / 2 - (value / most) * (strip / 2 - 6)
  return (
    <figure className="trend">
      <figcaption className="small quiet">position, mm against s</figcaption>
      <svg
        viewBox={`0 0 ${width} ${tall}`}
        role="img"
        aria-label={`${n} marks over ${showPlain(t1 - t0, 3)} s and ${showPlain(1000 * (s1 - s0), 3)} mm`}
      >
        <path className="axis" d={`M${left} 8V${tall - 18}H${width - 8}`} />
        <text x={left - 4} y={y(s1) + 4} textAnchor="end">
          {showPlain(1000 * s1, 3)}
        </text>
        <text x={left - 4} y={y(s0) + 4} textAnchor="end">
          {showPlain(1000 * s0, 3)}
        </text>
        <text x={x(t1)} y={tall - 5} textAnchor="end">
          {showPlain(t1, 3)}
        </text>
        <text x={left} y={tall - 5}>
          {showPlain(t0, 3)}
        </text>
        {line && <path d={line} className="trend-line" />}
        <Dots at={(i) => [x(samples.t_s[i]!), y(samples.s_m[i]!)]} count={n} {...{ dot, current, colour }} />
      </svg>
      {trend && trend.order === 2 && (
        <>
          <figcaption className="small quiet">left over, up to {showPlain(1000 * most, 2)} mm</figcaption>
          <svg viewBox={`0 0 ${width} ${strip}`} aria-hidden="true">
            <path className="axis" d={`M${left} ${strip / 2}H${width - 8}`} />
            <Dots
              at={(i) => [x(samples.t_s[i]!), r(residuals_m[i]!)]}
              count={residuals_m.length}
              {...{ dot, current, colour }}
            />
          </svg>
        </>
      )}
    </figure>
  )
}

/** Hundreds of dots as one path of round points, so that a key's change draws one thing and not each of them; the current one is larger. */
function Dots({
  at,
  count,
  dot,
  current,
  colour,
}: {
  readonly at: (i: number) => readonly [x: number, y: number]
  readonly count: number
  readonly dot: number
  readonly current: number
  readonly colour: string
}) {
  const points = Array.from({ length: count }, (_, i) => {
    const [x, y] = at(i)
    return `M${x.toFixed(1)} ${y.toFixed(1)}h0`
  })
  const [cx, cy] = current >= 0 && current < count ? at(current) : [0, 0]
  return (
    <>
      <path d={points.join('')} fill="none" stroke={colour} strokeWidth={2 * dot} strokeLinecap="round" />
      {current >= 0 && current < count && <circle cx={cx} cy={cy} r={4} fill={colour} />}
    </>
  )
}
