import type { LaneResult } from '../../../workers/fit/results.ts'
import { adviceSentence, checkSentence } from '../../../workers/fit/sentences.ts'

/** What further runs would bring, and what cruder ways to the same number say. */
export function NextRuns({ result }: { readonly result: LaneResult }) {
  const lines = [...result.advice.map(adviceSentence), ...result.checks.map(checkSentence)]
  if (lines.length === 0) return null
  return (
    <ul className="flag-sentences" aria-label="What further runs would bring">
      {lines.map((line) => (
        <li key={line}>{line}</li>
      ))}
    </ul>
  )
}
