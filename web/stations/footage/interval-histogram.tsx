import type { ClipFacts } from '../../../workers/bridge/decode-client.ts'
import { showPlain } from '../../format/value.ts'
import { histogramBars } from './histogram-bars.ts'

/** How often each interval between frames occurs, so that uneven timestamps are seen. Bars by logarithm: one odd frame in a thousand shows. */
export function IntervalHistogram({ facts }: { facts: ClipFacts }) {
  const bars = histogramBars(facts.intervals.histogram, facts.timescale_hz)
  if (bars.length === 0) return null
  const width = 320
  const step = width / bars.length
  const words = bars.map((bar) => `${bar.count} × ${showPlain(bar.interval_ms, 4)} ms`).join(', ')
  return (
    <figure className="histogram">
      <svg viewBox={`0 0 ${width} 44`} role="img" aria-label={`Intervals between frames: ${words}`}>
        <path d={`M0 32.5H${width}`} />
        {bars.map((bar, i) => (
          <g key={bar.interval_ms}>
            <rect x={i * step + step * 0.2} width={step * 0.6} y={32 - 30 * bar.height} height={30 * bar.height} />
            {(bars.length <= 6 || i === 0 || i === bars.length - 1) && (
              <text x={(i + 0.5) * step} y={42} textAnchor="middle">
                {showPlain(bar.interval_ms, 4)} ms
              </text>
            )}
          </g>
        ))}
      </svg>
      <figcaption className="small quiet">
        intervals between frames
        {facts.intervals.steady ? ', all alike' : `, ${facts.intervals.distinct} different ones`}
      </figcaption>
    </figure>
  )
}
