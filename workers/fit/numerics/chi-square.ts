import * as maths from '../../elementary/maths.ts'
import { regularisedGamma } from './gamma.ts'
import { monotoneRoot } from './roots.ts'

/** Probability that χ² with `dof` > 0 degrees of freedom is at most x ≥ 0. */
export function chiSquareCdf(x: number, dof: number): number {
  return regularisedGamma(dof / 2, Math.max(0, x) / 2).lower
}

/** Probability that χ² exceeds x: the p-value of a χ² test, precise in the far tail. */
export function chiSquareUpperTail(x: number, dof: number): number {
  return regularisedGamma(dof / 2, Math.max(0, x) / 2).upper
}

/** The x below which χ² falls with probability p in [0, 1]. */
export function chiSquareQuantile(p: number, dof: number): number {
  if (!(p >= 0 && p <= 1)) throw new RangeError(`${p} is no probability.`)
  if (p === 0) return 0
  if (p === 1) return Infinity
  const wanted = maths.log(Math.min(p, 1 - p))
  const difference = (logX: number): number => {
    const { lower, upper } = regularisedGamma(dof / 2, maths.exp(logX) / 2)
    return Math.max(maths.log(p <= 0.5 ? lower : upper), -1e6) - wanted
  }
  return maths.exp(monotoneRoot(difference, maths.log(dof), Math.sqrt(2 / dof)))
}

/** The factors by which a standard deviation s from `dof` degrees of freedom is multiplied for the ends of its
 *  two-sided confidence interval: √(ν/χ²). */
export function deviationFactors(confidence: number, dof: number): { readonly lower: number; readonly upper: number } {
  const tail = (1 - confidence) / 2
  return {
    lower: Math.sqrt(dof / chiSquareQuantile(1 - tail, dof)),
    upper: Math.sqrt(dof / chiSquareQuantile(tail, dof)),
  }
}
