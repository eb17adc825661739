import { samplesOf } from '../../../workers/measure/samples.ts'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'

/** A ball on a lane of some degrees (common practice, no source): where no run tells. */
const usual_m_s = 0.5

/** How fast balls roll along a lane: the mean speed of its longest run in this view. */
export function typicalSpeed_m_s(record: SlowlaneRecord, viewId: string, laneId: string): number {
  const runs = Object.values(record.runs).filter((run) => run.laneId === laneId && run.viewId === viewId)
  const longest = runs.reduce<(typeof runs)[number] | undefined>(
    (best, run) => (best && best.marks.frame.length >= run.marks.frame.length ? best : run),
    undefined,
  )
  const samples = longest && samplesOf(record, longest.id)
  if (samples?.kind !== 'samples' || samples.t_s.length < 2) return usual_m_s
  const last = samples.t_s.length - 1
  const speed = Math.abs((samples.s_m[last]! - samples.s_m[0]!) / (samples.t_s[last]! - samples.t_s[0]!))
  return Number.isFinite(speed) && speed > 0 ? speed : usual_m_s
}
