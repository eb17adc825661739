import * as maths from '../../elementary/maths.ts'
import { logGamma } from './gamma.ts'
import { normalCdf, normalQuantile } from './normal.ts'
import { integratePanels } from './quadrature.ts'
import { monotoneRoot } from './roots.ts'

/** Probability that (Z + δ)/√(χ²_ν/ν), the noncentral t, is at most t; ν ≥ 1, δ finite.
 *
 *  Integrates Φ(t·s − δ) over the distribution of s = √(χ²_ν/ν), which holds for any δ, where the usual series
 *  underflows from δ = 37. About 1e-12 absolute.
 *  Source: definition of the distribution, Johnson, Kotz & Balakrishnan, Continuous Univariate Distributions 2, ch. 31. */
export function noncentralTCdf(t: number, dof: number, noncentrality: number): number {
  if (!(dof >= 1) || !Number.isFinite(dof) || !Number.isFinite(noncentrality))
    throw new RangeError(`The noncentral t is not computed for ${dof} degrees of freedom and δ = ${noncentrality}.`)
  const half = dof / 2
  const constant = Math.LN2 + half * maths.log(half) - logGamma(half)
  const integrand = (s: number): number => {
    if (s === 0) return 0
    const logDensity = constant + (dof - 1) * maths.log(s) - half * s * s
    const z = t * s - noncentrality
    // Below 1e-20 nothing is added; above 9 the normal distribution is 1 to the last bit.
    if (logDensity < -46 || z < -10) return 0
    return maths.exp(logDensity) * (z > 9 ? 1 : normalCdf(z))
  }
  return Math.min(1, Math.max(0, integratePanels(integrand, breakpointsFor(t, dof, noncentrality))))
}

/** The t below which the noncentral t falls with probability p in (0, 1). */
export function noncentralTQuantile(p: number, dof: number, noncentrality: number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`${p} is no probability between 0 and 1.`)
  const difference = (t: number): number => noncentralTCdf(t, dof, noncentrality) - p
  const spread = Math.sqrt(1 + (noncentrality * noncentrality) / (2 * dof))
  return monotoneRoot(difference, noncentrality + normalQuantile(p) * spread, spread / 4)
}

/** The factor K of a one-sided normal tolerance limit x̄ + K·s: with confidence γ at least the share P of the
 *  population lies below it. n ≥ 2 observations.
 *  Source: ISO 16269-6 (statistical tolerance intervals), K = t'_{γ; n−1, z_P √n} / √n. */
export function oneSidedToleranceFactor(n: number, share: number, confidence: number): number {
  if (!(n >= 2)) throw new RangeError(`A tolerance limit needs two observations, not ${n}.`)
  return noncentralTQuantile(confidence, n - 1, normalQuantile(share) * Math.sqrt(n)) / Math.sqrt(n)
}

/** Where the integrand has its mass, cut finely where Φ turns over and, for few degrees of freedom, towards 0. */
function breakpointsFor(t: number, dof: number, noncentrality: number): number[] {
  const width = 1 / Math.sqrt(2 * dof)
  const low = Math.max(0, 1 - 13 * width)
  const high = 1 + 13 * width
  const points = Array.from({ length: 17 }, (_, i) => low + ((high - low) * i) / 16)
  if (low === 0) for (let i = 1; i <= 20; i++) points.push(points[1]! * 2 ** -i)
  if (t !== 0)
    for (const z of [-9, -6, -3, -1, 0, 1, 3, 6, 9]) {
      const point = (noncentrality + z) / t
      if (point > low && point < high) points.push(point)
    }
  return points.sort((a, b) => a - b)
}
