import type { LaneResult } from '../fit/results.ts'
import type { SlowlaneRecord } from '../record/index.ts'

/** What the fit worker answers. A record goes over whole: it is plain data, and the worker keeps nothing between calls. */
export type FitCalls = {
  laneResults: {
    readonly args: { readonly record: SlowlaneRecord }
    readonly result: readonly LaneResult[]
    readonly progress: never
  }
}
