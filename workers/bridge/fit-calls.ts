import type { MonteCarloOutcome } from '../fit/monte-carlo.ts'
import type { LaneResult } from '../fit/results.ts'
import type { SlowlaneRecord } from '../record/index.ts'

/** What the fit worker answers. A record goes over whole: it is plain data, and the worker keeps nothing between calls. */
export type FitCalls = {
  laneResults: {
    readonly args: { readonly record: SlowlaneRecord }
    readonly result: readonly LaneResult[]
    readonly progress: never
  }
  /** All inputs of one lane and finish drawn at random, the whole way computed for each draw (JCGM 101). */
  monteCarlo: {
    readonly args: {
      readonly record: SlowlaneRecord
      readonly laneId: string
      readonly finishId: string
      readonly draws: number
      readonly seed: number
    }
    readonly result: MonteCarloOutcome
    readonly progress: { readonly done: number; readonly of: number }
  }
}
