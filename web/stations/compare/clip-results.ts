import { useEffect, useMemo, useState } from 'react'
import { byClip, type ByClip } from '../../../workers/decide/by-clip.ts'
import type { LaneResult } from '../../../workers/fit/results.ts'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import { fitThread } from '../results/results-store.ts'
import type { Grouped, Question } from './compared.ts'

/** Results regrouped by two clips: absent while they are worked out. */
export interface ClipResults {
  readonly grouped: Grouped | null
  readonly mixed: ByClip['mixed']
  readonly failure: string | null
}

/** Clip against clip: both clips' runs fitted as two groups, beside the page. Costs nothing while another question is asked. */
export function useByClip(record: SlowlaneRecord, question: Question): ClipResults {
  const [first, second] = question.kind === 'clips' ? [question.first, question.second] : [null, null]
  const sides = useMemo(
    () => (first !== null && second !== null ? byClip(record, first, second) : null),
    [record, first, second],
  )
  const [done, setDone] = useState<{ readonly of: ByClip; readonly results: readonly LaneResult[] } | null>(null)
  const [failed, setFailed] = useState<{ readonly of: ByClip; readonly cause: string } | null>(null)
  useEffect(() => {
    if (!sides) return undefined
    const stop = new AbortController()
    fitThread()
      .laneResults(sides.record, { signal: stop.signal })
      .then((results) => setDone({ of: sides, results }))
      .catch((error: unknown) => {
        if (!stop.signal.aborted)
          setFailed({ of: sides, cause: error instanceof Error ? error.message : String(error) })
      })
    return () => stop.abort()
  }, [sides])
  const grouped = useMemo(
    () => (done && done.of === sides ? { record: done.of.record, results: done.results, sides: done.of } : null),
    [done, sides],
  )
  return {
    grouped,
    mixed: sides?.mixed ?? [],
    failure:
      failed && failed.of === sides
        ? `The results of these clips could not be computed (${failed.cause}). The record is untouched; choose other clips or reload to try again.`
        : null,
  }
}
