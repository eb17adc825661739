import type { MonteCarloOutcome } from '../fit/monte-carlo.ts'
import type { LaneResult } from '../fit/results.ts'
import type { SlowlaneRecord } from '../record/index.ts'
import type { PackedRecord } from './packed-record.ts'

/** What the fit worker answers. Of a record only what changed goes over; the worker keeps the marks of the last one, and nothing else, between calls. */
export type FitCalls = {
  laneResults: {
    readonly args: { readonly record: PackedRecord }
    readonly result: readonly LaneResult[]
    readonly progress: { readonly done: number; readonly of: number }
  }
  monteCarlo: {
    readonly args: Omit<MonteCarloArgs, 'record'> & { readonly record: PackedRecord }
    readonly result: MonteCarloOutcome
    readonly progress: { readonly done: number; readonly of: number }
  }
}

/** The draws of one lane and finish; the same seed gives the same draws. */
export interface MonteCarloArgs {
  readonly record: SlowlaneRecord
  readonly laneId: string
  readonly finishId: string
  readonly draws: number
  readonly seed: number
}
