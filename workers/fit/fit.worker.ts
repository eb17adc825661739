import type { FitCalls } from '../bridge/fit-calls.ts'
import { serveCalls } from '../bridge/serve-calls.ts'
import { laneResults } from './lane-results.ts'
import { monteCarlo } from './monte-carlo.ts'
import { seededRandom } from './numerics/random.ts'

/** Lets messages in, so that a cancel is heard between two batches. */
const breathe = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 0))

serveCalls<FitCalls, never>(self, {
  laneResults: ({ record }) => Promise.resolve(laneResults(record)),
  async monteCarlo({ record, laneId, finishId, draws, seed }, { signal, report }) {
    const work = monteCarlo(record, laneId, finishId, draws, seededRandom(seed))
    for (;;) {
      const step = work.next()
      if (step.done) return step.value
      report(step.value)
      await breathe()
      signal.throwIfAborted()
    }
  },
})
