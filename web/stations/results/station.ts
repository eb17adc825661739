import { lazy } from 'react'
import { improveFirst, problemSentence } from '../../../workers/fit/sentences.ts'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import type { NextStep, Station, StationState } from '../registry.ts'
import { resultsStore, watchResults } from './results-store.ts'

const enough = (record: SlowlaneRecord): boolean =>
  Object.values(record.runs).some((run) => run.excluded !== true && run.marks.frame.length >= 4)

function state(record: SlowlaneRecord): StationState {
  if (!enough(record)) return 'not-started'
  const { results } = resultsStore.getState()
  if (!results || results.length === 0) return 'not-started'
  return results.every((result) => result.crr && !result.flags.some((flag) => flag.kind === 'implausible'))
    ? 'ready'
    : 'attention'
}

function next(record: SlowlaneRecord): NextStep | null {
  if (!enough(record))
    return {
      text: 'No run has four marks yet.',
      action: { label: 'Mark a run', run: () => void (location.hash = '#/marks') },
    }
  const { results } = resultsStore.getState()
  if (!results) return null
  const stuck = results.find((result) => !result.crr && result.problems.length > 0)
  if (stuck) return { text: problemSentence(record, stuck.problems[0]!) }
  const widest = results.filter((result) => result.crr).sort((a, b) => b.crr!.U - a.crr!.U)[0]
  const advice = widest && improveFirst(widest)
  return widest && advice ? { text: `Lane ${record.lanes[widest.laneId]?.key ?? ''}: ${advice}` } : null
}

export const station: Station = {
  name: 'results',
  label: 'Results',
  Page: lazy(() => import('./page.tsx').then((m) => ({ default: m.ResultsPage }))),
  state,
  next,
  subscribe: watchResults,
}
