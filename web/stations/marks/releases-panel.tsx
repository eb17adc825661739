import { useDeferredValue, useMemo } from 'react'
import type { Clip } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { LaneChip } from '../../parts/lane-chip.tsx'
import { ValueU } from '../../parts/value-u.tsx'
import { useRecord } from '../../record/store.ts'
import { releasesOf, type LaneReleases } from './releases.ts'

/** How regularly the balls of each lane follow each other, as the marks tell it. */
export function ReleasesPanel({ clip }: { readonly clip: Clip }) {
  const record = useDeferredValue(useRecord((r) => r))
  const all = useMemo(() => releasesOf(record, clip.id), [record, clip.id])
  if (all.length === 0) return null
  return (
    <section aria-labelledby="releases-head">
      <h2 id="releases-head">Ball after ball</h2>
      {all.map((releases) => (
        <div key={`${releases.laneId} ${releases.direction}`}>
          <p>
            <LaneChip laneId={releases.laneId} /> {releases.times_s.length} balls
            {releases.direction < 0 && ', up the line'}, one every{' '}
            <ValueU value={releases.interval_s} U={2 * releases.intervalSigma_s} unit={units.s} withUnit />
          </p>
          <p className="small quiet">{spacingSentence(releases)}</p>
        </div>
      ))}
    </section>
  )
}

const mm = (metres: number): string => showPlain(1000 * metres, 3)

function spacingSentence({ jitter_s, spacings, station, times_s }: LaneReleases): string {
  const parts = [`Passing ${mm(station)} mm from the start.`]
  if (Number.isFinite(jitter_s))
    parts.push(`From interval to interval it varies by ${showPlain(1000 * jitter_s, 2)} ms (standard deviation).`)
  const together = spacings.filter(({ mean }) => Number.isFinite(mean))
  if (together.length > 0) {
    const least = Math.min(...together.map((s) => s.least))
    const most = Math.max(...together.map((s) => s.most))
    parts.push(`Neighbours on the lane are ${mm(least)} to ${mm(most)} mm apart, centre to centre.`)
  } else parts.push(`No two of the ${times_s.length} are on the lane at once.`)
  return parts.join(' ')
}
