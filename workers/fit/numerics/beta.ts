import * as maths from '../../elementary/maths.ts'
import { guarded, logBeta } from './gamma.ts'
import { monotoneRoot } from './roots.ts'

/** The regularised incomplete beta function I_x(a, b) and its complement, each without cancellation.
 *
 *  a, b > 0; x in [0, 1]; `y` = 1 − x may be handed in where it is known more exactly.
 *  Source: continued fraction of Abramowitz & Stegun 26.5.8, evaluated by Lentz's method. */
export function regularisedBeta(
  x: number,
  a: number,
  b: number,
  y = 1 - x,
): { readonly lower: number; readonly upper: number } {
  if (!(a > 0) || !(b > 0) || !(x >= 0 && x <= 1))
    throw new RangeError(`The incomplete beta function is not defined at x = ${x}, a = ${a}, b = ${b}.`)
  if (x === 0) return { lower: 0, upper: 1 }
  if (y === 0) return { lower: 1, upper: 0 }
  const logX = x < 0.5 ? maths.log(x) : maths.log1p(-y)
  const logY = y < 0.5 ? maths.log(y) : maths.log1p(-x)
  const front = maths.exp(a * logX + b * logY - logBeta(a, b))
  if (x < (a + 1) / (a + b + 2)) {
    const lower = Math.min(1, (front * betaFraction(x, a, b)) / a)
    return { lower, upper: 1 - lower }
  }
  const upper = Math.min(1, (front * betaFraction(y, b, a)) / b)
  return { lower: 1 - upper, upper }
}

function betaFraction(x: number, a: number, b: number): number {
  let c = 1
  let d = 1 / guarded(1 - ((a + b) * x) / (a + 1))
  let fraction = d
  for (let m = 1; m < 1_000_000; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m))
    d = 1 / guarded(1 + even * d)
    c = guarded(1 + even / c)
    fraction *= d * c
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1))
    d = 1 / guarded(1 + odd * d)
    c = guarded(1 + odd / c)
    const change = d * c
    fraction *= change
    if (Math.abs(change - 1) < 1e-16) break
  }
  return fraction
}

/** ln(x / (1 − x)) for the x at which I_x(a, b) = p, with q = 1 − p; both tails keep their relative precision.
 *  −∞ for p = 0 and +∞ for q = 0. */
export function betaQuantileLogit(p: number, q: number, a: number, b: number): number {
  if (!(p >= 0 && q >= 0) || Math.abs(p + q - 1) > 1e-12) throw new RangeError(`${p} and ${q} are no probabilities.`)
  if (p === 0) return -Infinity
  if (q === 0) return Infinity
  const wanted = maths.log(Math.min(p, q))
  const difference = (logit: number): number => {
    const x = 1 / (1 + maths.exp(-logit))
    const y = 1 / (1 + maths.exp(logit))
    const tails = regularisedBeta(x, a, b, y)
    const tail = p <= q ? tails.lower : tails.upper
    return Math.max(maths.log(tail), -1e6) - wanted
  }
  return monotoneRoot(difference, maths.log(a / b), Math.sqrt(1 / a + 1 / b))
}

/** The x at which I_x(a, b) = p, p in [0, 1]. */
export function betaQuantile(p: number, a: number, b: number): number {
  return 1 / (1 + maths.exp(-betaQuantileLogit(p, 1 - p, a, b)))
}
