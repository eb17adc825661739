import * as maths from '../elementary/maths.ts'
import { upperProbabilityLimit } from '../fit/numerics/binomial.ts'
import { studentTCdf } from '../fit/numerics/student-t.ts'
import { mean } from './rank-tests.ts'
import { variance } from './two-samples.ts'

/** What counted passages prove: with this confidence a ball stalls less often than `below`. */
export interface CountedProof {
  readonly kind: 'proof'
  readonly passages: number
  readonly stalls: number
  readonly below: number
  readonly confidence: number
}

/** One-sided exact limit. Source: Clopper & Pearson, Biometrika 26 (1934) 404–413; for 0 stalls 1 − (1 − confidence)^(1/n). */
export function countedProof(
  passages: number,
  stalls: number,
  confidence: number,
): CountedProof | { readonly kind: 'impossible' } {
  if (!(passages >= 1) || stalls < 0 || stalls > passages) return { kind: 'impossible' }
  return { kind: 'proof', passages, stalls, below: upperProbabilityLimit(stalls, passages, confidence), confidence }
}

/** Clean passages in a row that show "a stall in fewer than one in N" with the given confidence: ln(1 − confidence)/ln(1 − 1/N), rounded up. */
export function cleanPassagesFor(oneIn: number, confidence: number): number {
  if (!(oneIn > 1)) throw new RangeError(`"One in ${oneIn}" is no chance below one.`)
  // A hair below a whole number is that number: ln(.05)/ln(.5) and the like.
  return Math.ceil(maths.log(1 - confidence) / maths.log1p(-1 / oneIn) - 1e-9)
}

/** Chance of a stall, with the least that so many observations can prove whatever the bell curve says. */
export interface StallChance {
  readonly kind: 'chance'
  readonly chance: number
  readonly floor: number
  readonly observations: number
}

/**
 * Chance that the next passage needs a steeper lane than tan θ, from what n ≥ 3 of them needed (tangents of start angles, or C_rr run by run), as a
 * prediction from a normal sample: 1 − F_{n−1}((tan θ − mean)/√(s²(1 + 1/n) + u²)), u what all of them may be wrong by together.
 * Source: prediction interval for one further observation, ISO 16269-8. `floor`: n passages alone cannot prove less than this with the
 * stated confidence.
 */
export function stallChance(
  needed: readonly number[],
  tangent: number,
  common_u = 0,
  confidence = 0.95,
): StallChance | { readonly kind: 'too-few'; readonly have: number; readonly need: 3 } {
  const n = needed.length
  if (n < 3) return { kind: 'too-few', have: n, need: 3 }
  const spread = Math.sqrt(variance(needed) * (1 + 1 / n) + common_u ** 2)
  const gap = tangent - mean(needed)
  const chance = spread > 0 ? studentTCdf(-gap / spread, n - 1) : gap > 0 ? 0 : 1
  return { kind: 'chance', chance, floor: upperProbabilityLimit(0, n, confidence), observations: n }
}

/**
 * Whether values lean to one side more than a normal sample of this size would: adjusted sample skewness over its standard error, |z| > 2.
 * Source: Joanes & Gill, The Statistician 47 (1998) 183–189. Below 8 values nothing can be said.
 */
export function leansToOneSide(values: readonly number[]): 'cannot-tell' | 'no' | 'yes' {
  const n = values.length
  if (n < 8) return 'cannot-tell'
  const centre = mean(values)
  const m2 = values.reduce((sum, value) => sum + (value - centre) ** 2, 0) / n
  if (!(m2 > 0)) return 'no'
  const m3 = values.reduce((sum, value) => sum + maths.pow(value - centre, 3), 0) / n
  const skewness = (Math.sqrt(n * (n - 1)) / (n - 2)) * (m3 / maths.pow(m2, 1.5))
  const se = Math.sqrt((6 * n * (n - 1)) / ((n - 2) * (n + 1) * (n + 3)))
  return Math.abs(skewness) / se > 2 ? 'yes' : 'no'
}
