import type { FitCalls } from '../bridge/fit-calls.ts'
import { RecordReceiver } from '../bridge/packed-record.ts'
import { serveCalls } from '../bridge/serve-calls.ts'
import { resultsOfLane, sourceBookOf } from './lane-results.ts'
import { monteCarlo } from './monte-carlo.ts'
import { seededRandom } from './numerics/random.ts'

/** Draws between two looks at whether the caller still wants them. */
const batch = 100

const receiver = new RecordReceiver()

serveCalls<FitCalls, never>(self, {
  async laneResults({ record: packed }, { signal, report }) {
    const record = receiver.unpack(packed)
    const book = sourceBookOf(record)
    const lanes = Object.keys(record.lanes)
    const results = []
    for (const [i, laneId] of lanes.entries()) {
      results.push(...resultsOfLane(record, laneId, book))
      report({ done: i + 1, of: lanes.length })
      await turnOfOthers()
      signal.throwIfAborted()
    }
    return results
  },

  async monteCarlo({ record, laneId, finishId, draws, seed }, { signal, report }) {
    const work = monteCarlo(receiver.unpack(record), laneId, finishId, draws, seededRandom(seed), batch)
    for (;;) {
      const step = work.next()
      if (step.done) return step.value
      report(step.value)
      await turnOfOthers()
      signal.throwIfAborted()
    }
  },
})

/** Lets a waiting message in: a cancel is one. */
function turnOfOthers(): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, 0))
}
