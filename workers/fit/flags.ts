import type { SlowSpot } from './local-resistance.ts'
import type { ModelKind } from './motion-basis.ts'

/** Something about a result that a person should know, with the numbers it rests on. Sentences stand in `sentences.ts`. */
export type Flag =
  | {
      readonly kind: 'slows'
      readonly direction: 'down' | 'up' | 'level'
      readonly stallsAt_m: number
      readonly beyondExit_m: number
    }
  /** Faster than gravity allows on this slope without any resistance: C_rr would be negative. */
  | {
      readonly kind: 'implausible'
      readonly crr: number
      readonly U: number
      readonly acceleration_m_s2: number
      readonly frictionless_m_s2: number
      /** The true filming rate over the stated one that would bring C_rr to 0, from a ∝ rate². */
      readonly rateFactor: number | null
    }
  | { readonly kind: 'one-run' }
  | { readonly kind: 'runs-scatter'; readonly sd_m_s2: number; readonly p: number; readonly runs: number }
  | { readonly kind: 'marks-correlated'; readonly correlation: number }
  | { readonly kind: 'marks-scatter'; readonly ratio: number }
  | { readonly kind: 'outliers'; readonly runId: string; readonly marks: readonly number[]; readonly most: number }
  | {
      readonly kind: 'slope-dominates'
      readonly share: number
      readonly hasTwoWay: boolean
      readonly twoWayU: number | null
    }
  | {
      readonly kind: 'source-dominates'
      readonly sourceId: string
      readonly name: string
      readonly share: number
      readonly guessed: boolean
    }
  | { readonly kind: 'short-run'; readonly runIds: readonly string[]; readonly shareOfLane: number }
  | { readonly kind: 'direction-disagrees'; readonly runId: string; readonly stated: 'down' | 'up' }
  | { readonly kind: 'resting-left-out'; readonly runId: string; readonly before: number; readonly after: number }
  | {
      readonly kind: 'ways-disagree'
      readonly first: string
      readonly second: string
      readonly difference: number
      readonly U: number
    }
  /** A piece of the lane that resists more than the rest. */
  | ({ readonly kind: 'slow-spot'; readonly direction: 'down' | 'up' | 'level' } & SlowSpot)
  /** Resistance grows with speed: the equivalent C_rr holds for the speeds filmed only. */
  | {
      readonly kind: 'depends-on-speed'
      readonly rate_per_s: number
      readonly U_per_s: number
      readonly crrAtEntry: number | null
      readonly crrAtExit: number | null
      readonly entry_m_s: number | null
      readonly exit_m_s: number | null
    }
  /** The marks speak for another description of the motion than the one taken; speeds are widened by what it reads otherwise. */
  | {
      readonly kind: 'model-doubted'
      readonly taken: ModelKind
      readonly spokenFor: ModelKind
      readonly entry_m_s: number | null
      readonly exit_m_s: number | null
    }
  /** The acceleration changes along the lane, in no way that speed or a single spot explains. */
  | { readonly kind: 'uneven'; readonly least: number; readonly greatest: number }
  /** The ball goes farther per turn than rolling allows. */
  | {
      readonly kind: 'slip'
      readonly runId: string
      readonly perTurn_m: number
      readonly rolling_m: number
      readonly U_m: number
    }
  /** The ball goes less far per turn than the guide says. */
  | {
      readonly kind: 'rolling-radius-disagrees'
      readonly runId: string
      readonly perTurn_m: number
      readonly rolling_m: number
      readonly U_m: number
    }
  /** Air takes a noticeable part of the resistance of this light ball at the exit. */
  | { readonly kind: 'air-drag'; readonly crr: number; readonly share: number; readonly speed_m_s: number }
