import { oneSidedToleranceFactor } from '../fit/numerics/noncentral-t.ts'
import { mean } from './rank-tests.ts'
import { variance } from './two-samples.ts'

/** Share of all passages that a limit must hold for, and the confidence with which it does; both within (0.5, 1). */
export interface Reliability {
  readonly share: number
  readonly confidence: number
}

export interface ToleranceLimit {
  readonly kind: 'limit'
  readonly mean: number
  /** Standard deviation of the sample. */
  readonly scatter: number
  readonly n: number
  /** K of mean ± K·scatter. */
  readonly factor: number
  readonly upper: number
  readonly lower: number
}

export type NoLimit = { readonly kind: 'too-few'; readonly have: number; readonly need: 2 }

const factors = new Map<string, number>()

/** Factor of a one-sided tolerance limit for n ≥ 2 values; kept, since it takes a root of an integral. */
export function toleranceFactor(n: number, { share, confidence }: Reliability): number {
  const key = `${n} ${share} ${confidence}`
  let factor = factors.get(key)
  if (factor === undefined) {
    factor = oneSidedToleranceFactor(n, share, confidence)
    if (factors.size > 2000) factors.clear()
    factors.set(key, factor)
  }
  return factor
}

/**
 * Limit that the stated share of all values stays below (`upper`) or above (`lower`), with the stated confidence, taken from a normal sample; each
 * is one-sided. Source: ISO 16269-6. Values that lean to one side make it too low: see `leansToOneSide`.
 */
export function toleranceLimit(values: readonly number[], reliability: Reliability): ToleranceLimit | NoLimit {
  const n = values.length
  if (n < 2) return { kind: 'too-few', have: n, need: 2 }
  const centre = mean(values)
  const scatter = Math.sqrt(variance(values))
  const factor = toleranceFactor(n, reliability)
  return {
    kind: 'limit',
    mean: centre,
    scatter,
    n,
    factor,
    upper: centre + factor * scatter,
    lower: centre - factor * scatter,
  }
}
