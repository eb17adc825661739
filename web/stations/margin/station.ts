import { lazy } from 'react'
import { basisSentence, noMarginSentence } from '../../../workers/decide/margin-sentences.ts'
import { shimFor, type Shim } from '../../../workers/decide/shim.ts'
import { supportsOf } from '../../../workers/decide/supports.ts'
import type { LaneResult } from '../../../workers/fit/results.ts'
import { showPlain } from '../../format/value.ts'
import { bookOf } from '../compare/compared.ts'
import type { NextStep, Station, StationState } from '../registry.ts'
import { resultsStore, watchResults } from '../results/results-store.ts'
import { marginRows } from './margins.ts'

/** Of the record that the results are of: what lags a moment behind is not computed anew at every key. */
function state(): StationState {
  const { results, of: record } = resultsStore.getState()
  const rows = results && record ? marginRows(record, results).filter((row) => !row.past) : []
  const known = rows.flatMap(({ margin }) => (margin.kind === 'margin' ? [margin] : []))
  if (known.length === 0) return 'not-started'
  return known.every(({ window }) => window.state === 'within') && known.length === rows.length ? 'ready' : 'attention'
}

function next(): NextStep | null {
  const { results, of: record } = resultsStore.getState()
  if (!results || !record) return null
  const rows = marginRows(record, results).filter((row) => !row.past)
  const known = rows.flatMap(({ margin, result }) => (margin.kind === 'margin' ? [{ margin, result }] : []))
  if (rows.length === 0)
    return {
      text: 'A margin needs a lane with its C_rr.',
      action: { label: 'Mark runs', run: () => void (location.hash = '#/marks') },
    }
  const called = ({ laneId, finishId }: LaneResult) =>
    `Lane ${record.lanes[laneId]?.key ?? '?'} ${record.finishes[finishId]?.name ?? ''}`
  const short = known.toSorted((a, b) => a.margin.need.margin - b.margin.need.margin)[0]
  if (short && short.margin.need.margin < 0) {
    const { margin, result } = short
    const shim = shimFor(bookOf(record), margin.setting, supportsOf(record, result.laneId), margin.window.least_rad)
    return {
      text: `${called(result)} is ${showPlain(-margin.need.margin * 1000, 2)} mm/m short of margin: ${shim.kind === 'shim' ? says(shim) : 'enter where it rests, and its shim is computed.'}`,
    }
  }
  const fast = known.find(({ margin }) => margin.window.state !== 'within')
  if (fast) return { text: `${called(fast.result)}: balls leave it faster than wished.` }
  for (const { margin, result } of rows)
    if (margin.kind !== 'margin') return { text: noMarginSentence(record, result.laneId, margin) }
  const moving = known.find(({ margin }) => !margin.fromRest)
  return moving ? { text: `${called(moving.result)}: ${basisSentence(moving.margin)}` } : null
}

const says = (shim: Shim): string =>
  `raise its ${shim.lifts[0]?.support.name ?? 'upper support'} by ${showPlain((shim.lifts[0]?.height_m ?? 0) * 1000, 3)} mm.`

export const station: Station = {
  name: 'margin',
  label: 'Margin',
  Page: lazy(() => import('./page.tsx').then((m) => ({ default: m.MarginPage }))),
  state,
  next,
  subscribe: watchResults,
}
