import * as maths from '../../elementary/maths.ts'
import { regularisedGamma } from './gamma.ts'

const SQRT_TWO_PI = 2.50662827463100050242

/** Probability that a standard normal variable is at most z. Small tails keep their relative precision. */
export function normalCdf(z: number): number {
  if (Number.isNaN(z)) throw new RangeError('The normal distribution is asked for at no number.')
  const tail = regularisedGamma(0.5, (z * z) / 2)
  return z < 0 ? tail.upper / 2 : (1 + tail.lower) / 2
}

/** Density of the standard normal distribution. */
export function normalPdf(z: number): number {
  return maths.exp((-z * z) / 2) / SQRT_TWO_PI
}

/** The z below which a standard normal variable falls with probability p in [0, 1]; ±∞ at the ends.
 *  Source: start from Abramowitz & Stegun 26.2.23, then Halley's steps on the distribution itself. */
export function normalQuantile(p: number): number {
  if (!(p >= 0 && p <= 1)) throw new RangeError(`${p} is no probability.`)
  if (p === 0) return -Infinity
  if (p === 1) return Infinity
  if (p === 0.5) return 0
  const tail = Math.min(p, 1 - p)
  const t = Math.sqrt(-2 * maths.log(tail))
  let z = -t + (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)))
  for (let n = 0; n < 3; n++) {
    const e = (normalCdf(z) - tail) / normalPdf(z)
    z -= e / (1 + (z * e) / 2)
  }
  return p < 0.5 ? z : -z
}
