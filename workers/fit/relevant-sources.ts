import { sampleSources, slopeSources } from '../measure/run-sources.ts'
import type { Guide, SlowlaneRecord, Stated } from '../record/index.ts'
import type { SeriesPlan } from './evaluate.ts'

/** Ids of the sources that a series depends on. */
export interface RelevantSources {
  readonly all: ReadonlySet<string>
  /** Those that move its marks in metres and seconds. */
  readonly marks: ReadonlySet<string>
  /** Those of its slope. */
  readonly slope: ReadonlySet<string>
}

/** The sources behind a series: marks, slope, guide, ball and gravity. */
export function relevantSources(
  record: SlowlaneRecord,
  { runs, laneId, ballId, mountingId }: SeriesPlan,
): RelevantSources {
  const marks = new Set<string>()
  const seen = new Set<string>()
  for (const { runId } of runs) {
    // Runs of one view and clip share their sources.
    const { viewId, clipId } = record.runs[runId]!
    if (seen.has(`${viewId} ${clipId}`)) continue
    seen.add(`${viewId} ${clipId}`)
    for (const id of sampleSources(record, runId)) marks.add(id)
  }
  const slope = new Set(slopeSources(record, mountingId))
  const all = new Set([...marks, ...slope])
  const lane = record.lanes[laneId]
  const ball = record.balls[ballId]
  const stated = [
    record.settings.gravity.g_m_s2,
    ...(lane ? guideValues(lane.guide) : []),
    ...(ball ? [ball.diameter_m, ball.hollow] : []),
  ]
  for (const value of stated) for (const id of value?.sources ?? []) all.add(id)
  return { all, marks, slope }
}

function guideValues(guide: Guide): Stated[] {
  return Object.values(guide).filter((value): value is Stated => typeof value === 'object')
}
