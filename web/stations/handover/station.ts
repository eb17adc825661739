import { lazy } from 'react'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import type { NextStep, Station, StationState } from '../registry.ts'
import { resultsStore, watchResults } from '../results/results-store.ts'

function state(record: SlowlaneRecord): StationState {
  const { results } = resultsStore.getState()
  if (Object.keys(record.runs).length === 0 || !results || results.length === 0) return 'not-started'
  return results.some(({ crr }) => crr) ? 'ready' : 'attention'
}

function next(record: SlowlaneRecord): NextStep | null {
  const { results } = resultsStore.getState()
  if (Object.keys(record.runs).length === 0)
    return {
      text: 'There is nothing to hand over yet: no run is marked.',
      action: { label: 'Mark a run', run: () => void (location.hash = '#/marks') },
      after: ', or import marks from a table below.',
    }
  if (!results) return null
  const without = results.filter(({ crr }) => !crr).map(({ laneId }) => record.lanes[laneId]?.key ?? '?')
  if (without.length > 0)
    return {
      text: `Without C_rr: lane ${[...new Set(without)].join(', ')}. Its marks and motion can be handed over, its friction not.`,
      action: { label: 'See why', run: () => void (location.hash = '#/results') },
    }
  return {
    text: 'The drag at the centre holds in every engine.',
    action: { label: 'Print the report', run: () => void (location.hash = '#/handover/report') },
  }
}

export const station: Station = {
  name: 'handover',
  label: 'Handover',
  Page: lazy(() => import('./page.tsx').then((m) => ({ default: m.HandoverPage }))),
  state,
  next,
  subscribe: watchResults,
}
