import * as maths from '../../elementary/maths.ts'
import { betaQuantileLogit, regularisedBeta } from './beta.ts'

/** Probability that F with d₁, d₂ degrees of freedom is at most f. */
export function fCdf(f: number, d1: number, d2: number): number {
  return tails(f, d1, d2).lower
}

/** Probability that F exceeds f: the p-value of an F test, precise in the far tail. */
export function fUpperTail(f: number, d1: number, d2: number): number {
  return tails(f, d1, d2).upper
}

/** The f below which F falls with probability p in [0, 1]. */
export function fQuantile(p: number, d1: number, d2: number): number {
  if (!(p >= 0 && p <= 1)) throw new RangeError(`${p} is no probability.`)
  return (d2 / d1) * maths.exp(betaQuantileLogit(p, 1 - p, d1 / 2, d2 / 2))
}

/** Source: Abramowitz & Stegun 26.6.2. */
function tails(f: number, d1: number, d2: number): { readonly lower: number; readonly upper: number } {
  if (!(f > 0)) return { lower: 0, upper: 1 }
  if (f === Infinity) return { lower: 1, upper: 0 }
  const total = d1 * f + d2
  return regularisedBeta((d1 * f) / total, d1 / 2, d2 / 2, d2 / total)
}
