import * as maths from '../../elementary/maths.ts'
import { betaQuantileLogit, regularisedBeta } from './beta.ts'
import { logBeta } from './gamma.ts'
import { normalCdf, normalPdf, normalQuantile } from './normal.ts'

/** Above this the difference from the normal distribution is beyond double precision. */
const NORMAL_FROM = 1e12

/** Probability that Student's t with `dof` > 0 degrees of freedom (fractions and ∞ allowed) is at most t.
 *  Source: Abramowitz & Stegun 26.7.1 with 26.5.27. */
export function studentTCdf(t: number, dof: number): number {
  check(dof)
  if (dof >= NORMAL_FROM) return normalCdf(t)
  if (t === Infinity || t === -Infinity) return t > 0 ? 1 : 0
  const square = t * t
  const { lower, upper } = regularisedBeta(dof / (dof + square), dof / 2, 0.5, square / (dof + square))
  return t < 0 ? lower / 2 : (1 + upper) / 2
}

/** Density of Student's t. */
export function studentTPdf(t: number, dof: number): number {
  check(dof)
  if (dof >= NORMAL_FROM) return normalPdf(t)
  return maths.exp(-((dof + 1) / 2) * maths.log1p((t * t) / dof) - logBeta(dof / 2, 0.5) - 0.5 * maths.log(dof))
}

/** The t below which Student's t falls with probability p in [0, 1]; ±∞ at the ends. */
export function studentTQuantile(p: number, dof: number): number {
  check(dof)
  if (!(p >= 0 && p <= 1)) throw new RangeError(`${p} is no probability.`)
  if (dof >= NORMAL_FROM) return normalQuantile(p)
  if (p === 0.5) return 0
  const tail = 2 * Math.min(p, 1 - p)
  const size = Math.sqrt(dof) * maths.exp(-betaQuantileLogit(tail, 1 - tail, dof / 2, 0.5) / 2)
  return p < 0.5 ? -size : size
}

/** The factor t by which a standard uncertainty is multiplied for a two-sided interval of the given coverage
 *  (0.95 …) with `dof` degrees of freedom. Source: JCGM 100:2008, G.3. */
export function coverageFactor(coverage: number, dof: number): number {
  if (!(coverage > 0 && coverage < 1)) throw new RangeError(`A coverage of ${coverage} is not between 0 and 1.`)
  return -studentTQuantile((1 - coverage) / 2, dof)
}

function check(dof: number): void {
  if (!(dof > 0)) throw new RangeError(`Student's t needs more than ${dof} degrees of freedom.`)
}
