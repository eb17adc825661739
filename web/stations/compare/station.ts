import { lazy } from 'react'
import type { Comparison } from '../../../workers/decide/compare.ts'
import { resultsStore, watchResults } from '../results/results-store.ts'
import type { NextStep, Station, StationState } from '../registry.ts'
import { firstQuestion, ownAnswers } from './compared.ts'

/** Results lag behind the record while somebody works; the row speaks of the record they are of, and computes nothing anew at every key. */
function state(): StationState {
  const { results, of: record } = resultsStore.getState()
  if (!results || !record) return 'not-started'
  // Clips are compared by a fit of their own, which the stations row does not wait for.
  if (firstQuestion(record, results)?.kind === 'clips') return 'ready'
  const pairs = ownAnswers(record, results)
  const compared = pairs.filter(({ outcome }) => outcome.kind === 'comparison')
  if (compared.length === 0) return 'not-started'
  return compared.some(({ verdict }) => verdict === 'cannot-tell') ? 'attention' : 'ready'
}

function next(): NextStep | null {
  const { results, of: record } = resultsStore.getState()
  if (!results || !record || firstQuestion(record, results)?.kind === 'clips') return null
  const pairs = ownAnswers(record, results)
  if (pairs.length === 0)
    return {
      text: 'A comparison needs two sets of runs: one lane before and after, or two lanes.',
      action: { label: 'Mark runs', run: () => void (location.hash = '#/marks') },
    }
  const open = pairs.flatMap((pair) =>
    pair.verdict === 'cannot-tell' && pair.outcome.kind === 'comparison' ? [{ pair, comparison: pair.outcome }] : [],
  )
  const cheapest = open
    .filter(({ comparison }) => comparison.settling.kind === 'more-runs')
    .sort((a, b) => runsOf(a.comparison.settling) - runsOf(b.comparison.settling))[0]
  const worst = cheapest ?? open[0]
  if (!worst) return null
  const key = record.lanes[worst.pair.second.laneId]?.key ?? '?'
  const { settling } = worst.comparison
  return settling.kind === 'more-runs'
    ? {
        text: `Lane ${key} cannot be told yet: ${settling.more} more ${settling.more === 1 ? 'run' : 'runs'} of each would settle it.`,
        action: { label: 'Mark them', run: () => void (location.hash = '#/marks') },
      }
    : { text: `Lane ${key} cannot be told: ${stuck(worst.comparison)}` }
}

const stuck = ({ settling, sameMounting }: Comparison): string =>
  settling.kind === 'not-by-runs'
    ? sameMounting
      ? 'what is uncertain beside the runs covers the difference. Results says what to improve first.'
      : 'fixing it anew covers the difference. Keep it on its supports while it is sanded, or run it both ways.'
    : 'the difference is small against the scatter of its runs.'

const runsOf = (settling: { readonly kind: string; readonly more?: number }): number => settling.more ?? Infinity

export const station: Station = {
  name: 'compare',
  label: 'Compare',
  Page: lazy(() => import('./page.tsx').then((m) => ({ default: m.ComparePage }))),
  state,
  next,
  subscribe: watchResults,
}
