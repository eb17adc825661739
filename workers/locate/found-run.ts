import type { EndReason, Gap } from './doubts.ts'
import type { SpinSeries } from './spin-series.ts'

/** One passage of one ball along a lane, as columns with one entry per mark. Every mark was measured in its own frame;
 *  nothing is smoothed. */
export interface FoundRun {
  readonly lane: string
  /** 1 along the lane line's direction, −1 against it. */
  readonly direction: 1 | -1
  readonly frames: Int32Array
  /** Arc length along the lane's line, px. */
  readonly s: Float64Array
  /** Centre of the ball's outline in the displayed picture, px. */
  readonly x: Float64Array
  readonly y: Float64Array
  /** σ along the lane, px. */
  readonly sigma: Float64Array
  /** Bits of `Doubt`; 0 is a clean mark. */
  readonly doubt: Uint8Array
  readonly gaps: readonly Gap[]
  readonly starts: EndReason
  readonly ends: EndReason
  /** Frames in which the ball lay still before and after, where it did. */
  readonly restBefore?: { readonly from: number; readonly to: number }
  readonly restAfter?: { readonly from: number; readonly to: number }
  /** Correlation of neighbouring marks' errors: a fit must thin its marks or widen its uncertainty by it. */
  readonly lag1: number
  /** Scatter of clean marks about a local cubic in real time, px. */
  readonly scatter_px: number
  /** Cramér–Rao bound of a clean mark (median), px. */
  readonly bound_px: number
  /** Radius of the outline and the centre's distance from the lane's line (positive on its normal's side, below a line
   *  that runs to the right), px, at the run's middle. */
  readonly radius_px: number
  readonly across_px: number
  readonly spin: SpinSeries
}

/** What the search wants a person to know. Sentences live in `sentences.ts`. */
export type Note =
  | { readonly kind: 'not-a-ball'; readonly lane: string; readonly from: number; readonly to: number }
  | { readonly kind: 'nothing-found'; readonly lane: string }
  | { readonly kind: 'line-off'; readonly lane: string; readonly across_px: number }
  | { readonly kind: 'too-close'; readonly lane: string; readonly from: number; readonly to: number }
  | { readonly kind: 'touching'; readonly lane: string; readonly from: number; readonly to: number }
  | { readonly kind: 'smeared'; readonly lane: string; readonly runs: number }
  | { readonly kind: 'repeated-frames'; readonly frames: readonly number[] }
  | { readonly kind: 'flicker'; readonly lane: string; readonly range: number }
  | { readonly kind: 'many-doubts'; readonly lane: string; readonly share: number }
  | { readonly kind: 'lane-outside'; readonly lane: string }

export interface FindOutcome {
  readonly kind: 'found'
  readonly runs: readonly FoundRun[]
  readonly notes: readonly Note[]
  readonly framesRead: number
}
