import { sentenceForRateFlag } from '../../../workers/measure/note-sentences.ts'
import { rateFlags } from '../../../workers/measure/rate-flags.ts'
import type { Clip, SlowlaneRecord, View } from '../../../workers/record/index.ts'
import { rateAdvice } from './rate-advice.ts'

export interface Objection {
  readonly text: string
  /** Frame of the run that speaks against the rate, to be looked at. */
  readonly run: { readonly name: string; readonly frame: number; readonly runId: string } | null
}

/** Everything that speaks against the time of a clip as it is chosen now: the file's own tag, its timestamps, and balls faster than any can be. */
export function speaksAgainst(record: SlowlaneRecord, clip: Clip, view: View): readonly Objection[] {
  const advice = rateAdvice(record, clip, view)
  const told: Objection[] = advice?.tone === 'caution' ? [{ text: advice.text, run: null }] : []
  // A typed rate or the file's own time has its advice already, with what it does to v and a.
  const said = told.length > 0 ? new Set(['tag-contradicts', 'slower-than-file']) : new Set<string>()
  for (const flag of rateFlags(record, clip.id)) {
    if (said.has(flag.kind)) continue
    // One ball that cannot be is enough: the others of the clip go by the same time.
    if (flag.kind === 'too-fast-for-slope') said.add(flag.kind)
    told.push({
      text: sentenceForRateFlag(flag),
      run: flag.kind === 'too-fast-for-slope' ? runOf(record, flag.runId) : null,
    })
  }
  return told
}

function runOf(record: SlowlaneRecord, runId: string): Objection['run'] {
  const run = record.runs[runId]
  if (!run) return null
  const frame = run.marks.frame[0] ?? 0
  return { runId, frame, name: `lane ${record.lanes[run.laneId]?.key ?? ''}, from frame ${frame}` }
}
