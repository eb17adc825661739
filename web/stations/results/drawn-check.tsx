import { useState } from 'react'
import type { MonteCarloOutcome } from '../../../workers/bridge/fit-client.ts'
import type { LaneResult } from '../../../workers/fit/results.ts'
import { units } from '../../format/units.ts'
import { showPlain, showValue } from '../../format/value.ts'
import { recordStore } from '../../record/store.ts'
import { say } from '../../shell/messages.ts'
import { beginWork } from '../../shell/progress.ts'
import { fitThread } from './results-store.ts'

/** Draws enough for an interval's ends to be good to about 2 % of its width. */
const draws = 4000

/** The ± checked by drawing every input at random, when the person asks for it. */
export function DrawnCheck({ result }: { readonly result: LaneResult }) {
  const [outcome, setOutcome] = useState<MonteCarloOutcome | null>(null)
  const [busy, setBusy] = useState(false)
  const run = async () => {
    const work = beginWork('Drawing all inputs at random', 'draws')
    setBusy(true)
    try {
      const { record } = recordStore.getState()
      const args = { record, laneId: result.laneId, finishId: result.finishId, draws, seed: 1 }
      setOutcome(
        await fitThread().monteCarlo(args, {
          signal: work.signal,
          onProgress: ({ done, of }) => work.progress(done, of),
        }),
      )
    } catch (error) {
      if (!work.signal.aborted)
        say('wrong', `The check could not be run (${String(error)}). The results stand as they are.`)
    } finally {
      work.end()
      setBusy(false)
    }
  }
  const drawn = outcome && pick(outcome, result)
  return (
    <section aria-label="Check by random draws">
      <button type="button" className="button" disabled={busy} onClick={() => void run()}>
        Check the ± by {showPlain(draws)} random draws
      </button>
      {drawn && result.crr && (
        <p role="status">
          C<sub>rr</sub> from {drawn.draws} draws:{' '}
          {showValue(drawn.mean, (drawn.interval[1] - drawn.interval[0]) / 2, units.one.label).text}; by the law of
          propagation {showValue(result.crr.value, result.crr.U).text}.
          {outcome.failed > 0 && ` ${outcome.failed} draws gave no picture that could be measured.`}
        </p>
      )}
    </section>
  )
}

/** The drawn quantity that belongs to the way the table shows. */
function pick(outcome: MonteCarloOutcome, result: LaneResult) {
  const way = result.ways[0]
  if (way?.kind === 'two-way') return outcome.results.find(({ quantity }) => quantity.kind === 'crr-two-way')
  const series = result.series.findIndex((one) => one.crr !== null && one.crr.value === way?.crr.value)
  return outcome.results.find(({ quantity }) => quantity.kind === 'crr' && quantity.series === series)
}
