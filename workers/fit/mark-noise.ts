import { chiSquareUpperTail } from './numerics/chi-square.ts'
import { dofOfDoubt } from './numerics/degrees-of-freedom.ts'
import type { RunFit, RunSeries } from './run-fit.ts'

/** Symmetric 3 × 3 matrix, row by row. */
export type Matrix3 = readonly [number, number, number, number, number, number, number, number, number]

/**
 * How the marks scatter about a fit, in units of their stated uncertainty.
 * `scale2`: variance; `dof`: its degrees of freedom; `rho`: correlation of neighbouring marks, never below 0.
 */
export interface MarkNoise {
  readonly scale2: number
  readonly dof: number
  readonly rho: number
  /** Scatter of the residuals alone over the stated one; how far the two agree is a check of the stated one. */
  readonly residualRatio: number
  /** Covariance of (level, slope, curvature) per run for scale2 = 1. */
  readonly covariances: readonly Matrix3[]
}

/** A stated scatter of clicks is trusted to about a quarter of itself (JCGM 100:2008, table E.1: 8 degrees of freedom ↔ 25 %). */
const statedDof = dofOfDoubt(0.25)

/**
 * Scatter of the marks from the residuals of all runs of a series, `spent` parameters having been fitted in all.
 * Correlated neighbours (an eye that lags, a ball between two pixels) make the naive figure too small: the correlation ρ of a first-order process
 * is found from the residuals, freed of the bias of fitting, and carried through the covariance; a negative one is not counted as a gain.
 * With few marks the stated scatter is pooled in, unless the residuals contradict it.
 */
export function markNoise(
  runs: readonly RunFit[],
  series: readonly RunSeries[],
  residuals: readonly Float64Array[],
  spent: number,
): MarkNoise {
  let squares = 0
  let products = 0
  let count = 0
  for (const r of residuals) {
    count += r.length
    for (let i = 0; i < r.length; i++) {
      squares += r[i]! * r[i]!
      if (i > 0) products += r[i]! * r[i - 1]!
    }
  }
  const bases = runs.map((run, i) => basisOf(run, series[i]!))
  const naiveDof = Math.max(count - spent, 0)
  const rho = squares > 0 && naiveDof >= 4 ? correlationThatShows(products / squares, bases) : 0
  const grams = bases.map((basis) => gramOf(basis, rho))
  // tr(MV): what Σr² is expected to be, in units of σ². Per run the three polynomials take their share; the curvature is shared between
  // runs where fewer than three parameters per run were spent.
  let expected = count
  const share = runs.length > 0 ? (spent - 2 * runs.length) / runs.length : 0
  for (const g of grams) expected -= g[0] + g[4] + share * g[8]
  expected = Math.max(expected, naiveDof * 1e-3)
  // A first-order process of correlation ρ carries (1 − ρ²)/(1 + ρ²) of the independent squares of a white one
  // (Bayley & Hammersley, J. R. Stat. Soc. Suppl. 8 (1946) 184–197, for variances).
  const dof = naiveDof * ((1 - rho * rho) / (1 + rho * rho))
  const fromResiduals = expected > 0 && naiveDof > 0 ? squares / expected : 1
  const contradicts = dof > 0 && chiSquareUpperTail(fromResiduals * dof, dof) < 0.05
  const scale2 = contradicts ? fromResiduals : (statedDof + fromResiduals * dof) / (statedDof + dof)
  return {
    scale2,
    dof: contradicts ? dof : dof + statedDof,
    rho,
    residualRatio: Math.sqrt(fromResiduals),
    covariances: runs.map((run, i) => covarianceOf(run, grams[i]!)),
  }
}

/** The run's polynomials over its marks, scaled to unit length in the metric of the marks' uncertainties. */
type Basis = readonly [Float64Array, Float64Array, Float64Array]

function basisOf(run: RunFit, { t_s, sigma_m }: RunSeries): Basis {
  const n = t_s.length
  const q0 = new Float64Array(n)
  const q1 = new Float64Array(n)
  const q2 = new Float64Array(n)
  const [n0, n1, n2] = run.norms
  const r0 = 1 / Math.sqrt(n0)
  const r1 = 1 / Math.sqrt(n1)
  const r2 = 1 / Math.sqrt(n2)
  for (let i = 0; i < n; i++) {
    const tau = t_s[i]! - run.middle_s
    const root = 1 / sigma_m[i]!
    q0[i] = r0 * root
    q1[i] = r1 * root * tau
    q2[i] = r2 * root * (0.5 * tau * tau - run.lift - run.skew * tau)
  }
  return [q0, q1, q2]
}

/** Qᵀ V Q for the correlation V = ρ^|i − j|, by one sweep. */
function gramOf(basis: Basis, rho: number): Matrix3 {
  if (rho === 0) return [1, 0, 0, 0, 1, 0, 0, 0, 1]
  const g = new Float64Array(9)
  const carried = new Float64Array(3)
  const n = basis[0].length
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < 3; k++) {
      const q = basis[k]![i]!
      for (let l = 0; l < 3; l++) g[3 * k + l]! += q * carried[l]!
    }
    for (let k = 0; k < 3; k++) carried[k] = rho * (carried[k]! + basis[k]![i]!)
  }
  const entry = (k: number, l: number) => g[3 * k + l]! + g[3 * l + k]! + (k === l ? 1 : 0)
  return [
    entry(0, 0),
    entry(0, 1),
    entry(0, 2),
    entry(1, 0),
    entry(1, 1),
    entry(1, 2),
    entry(2, 0),
    entry(2, 1),
    entry(2, 2),
  ]
}

function covarianceOf({ norms }: RunFit, g: Matrix3): Matrix3 {
  const r = norms.map((norm) => 1 / Math.sqrt(norm))
  return g.map((value, i) => value * r[Math.floor(i / 3)]! * r[i % 3]!) as unknown as Matrix3
}

/**
 * The ρ ≥ 0 whose residuals, after fitting three polynomials per run, show the lag-1 ratio `raw` on average: E ≈ tr(MDMV)/tr(MV), M the
 * residual maker, D the neighbour average. Source of the expectation: Durbin & Watson, Biometrika 37 (1950) 409–428. The expectation is close
 * to linear in ρ, so that few secant steps settle it.
 */
function correlationThatShows(raw: number, bases: readonly Basis[]): number {
  if (raw <= expectedRatio(0, bases)) return 0
  let low = 0
  let fLow = expectedRatio(0, bases) - raw
  let high = 0.98
  let fHigh = expectedRatio(high, bases) - raw
  if (fHigh <= 0) return high
  for (let step = 0; step < 12; step++) {
    const weight = Math.min(Math.max(-fLow / (fHigh - fLow), 0.02), 0.98)
    const middle = low + (high - low) * weight
    const f = expectedRatio(middle, bases) - raw
    if (Math.abs(f) < 1e-4) return middle
    if (f < 0) [low, fLow] = [middle, f]
    else [high, fHigh] = [middle, f]
  }
  return low - (fLow * (high - low)) / (fHigh - fLow)
}

function expectedRatio(rho: number, bases: readonly Basis[]): number {
  let numerator = 0
  let denominator = 0
  for (const basis of bases) {
    const n = basis[0].length
    const g = gramOf(basis, rho)
    numerator += (n - 1) * rho
    denominator += n - g[0] - g[4] - g[8]
    const neighbour = new Float64Array(9)
    for (let i = 1; i < n; i++)
      for (let k = 0; k < 3; k++)
        for (let l = 0; l < 3; l++)
          neighbour[3 * k + l]! += 0.5 * (basis[k]![i]! * basis[l]![i - 1]! + basis[k]![i - 1]! * basis[l]![i]!)
    for (let k = 0; k < 3; k++) {
      numerator -= 2 * neighbourOfCorrelated(basis[k]!, rho)
      for (let l = 0; l < 3; l++) numerator += neighbour[3 * k + l]! * g[3 * l + k]!
    }
  }
  return denominator > 0 ? numerator / denominator : 0
}

/** qᵀ D V q. */
function neighbourOfCorrelated(q: Float64Array, rho: number): number {
  const n = q.length
  const v = q.slice()
  let carried = 0
  for (let i = 1; i < n; i++) {
    carried = rho * (carried + q[i - 1]!)
    v[i]! += carried
  }
  carried = 0
  for (let i = n - 2; i >= 0; i--) {
    carried = rho * (carried + q[i + 1]!)
    v[i]! += carried
  }
  let sum = 0
  for (let i = 1; i < n; i++) sum += 0.5 * (q[i]! * v[i - 1]! + q[i - 1]! * v[i]!)
  return sum
}
