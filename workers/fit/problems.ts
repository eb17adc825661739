import type { SampleProblem } from '../measure/samples.ts'
import type { SlopeProblem } from '../measure/slope.ts'
import type { GuideProblem } from './guide-numbers.ts'

/** Why a run gives no fit. Values, not exceptions: sentences are made from them in `sentences.ts`. */
export type RunProblem =
  | { readonly kind: 'too-few-marks'; readonly runId: string; readonly have: number; readonly need: number }
  | { readonly kind: 'one-spot'; readonly runId: string }
  | { readonly kind: 'never-moves'; readonly runId: string; readonly moved_m: number; readonly noise_m: number }
  | { readonly kind: 'time-not-rising'; readonly runId: string; readonly mark: number; readonly step_s: number }
  | { readonly kind: 'mostly-at-rest'; readonly runId: string; readonly resting: number; readonly left: number }
  /** The way from pixels to metres and seconds is not laid. */
  | { readonly kind: 'not-in-metres'; readonly runId: string; readonly cause: SampleProblem }

/** What keeps a lane from a result. */
export type LaneProblem =
  | RunProblem
  | { readonly kind: 'slope-unknown'; readonly mountingId: string; readonly direction: 'down' | 'up' | 'level' }
  | { readonly kind: 'slope-not-found'; readonly mountingId: string; readonly cause: SlopeProblem }
  | { readonly kind: 'guide-impossible'; readonly ballId: string; readonly cause: GuideProblem }
  | { readonly kind: 'no-common-stretch'; readonly runIds: readonly string[] }
