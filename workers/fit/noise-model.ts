import type { JointFactor, RunFactor } from './block-factor.ts'
import { chiSquareUpperTail } from './numerics/chi-square.ts'
import { dofOfDoubt } from './numerics/degrees-of-freedom.ts'

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
}

/** A stated scatter of clicks is trusted to about a quarter of itself (JCGM 100:2008, table E.1: 8 degrees of freedom ↔ 25 %). */
const statedDof = dofOfDoubt(0.25)
/** Runs of one lane are alike: so many of them give the expectation that frees ρ of the bias of fitting. */
const runsForBias = 3

/**
 * Scatter of the marks from the residuals (in units of σ) of a joint fit.
 * Correlated neighbours (an eye that lags, a ball between two pixels) make the naive figure too small: the correlation ρ of a first-order process
 * is found from the residuals, freed of the bias of fitting, and carried through the covariance; a negative one is not counted as a gain.
 * With few marks the stated scatter is pooled in, unless the residuals contradict it.
 */
export function estimateNoise(joint: JointFactor, residuals: readonly Float64Array[]): MarkNoise {
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
  const spent = joint.runs.reduce((sum, run) => sum + run.own, joint.shared)
  const naiveDof = count - spent
  if (!(naiveDof > 0)) return { scale2: 1, dof: statedDof, rho: 0, residualRatio: 1 }
  const shares = joint.runs.map((run) => sharesOf(joint, run))
  const rho = squares > 0 && naiveDof >= 4 ? correlationThatShows(products / squares, joint.runs, shares) : 0
  let expected = count
  for (const [i, run] of joint.runs.entries()) expected -= traceOf(shares[i]!, gramOf(run.q, rho), run.size)
  expected = Math.max(expected, 1e-3 * naiveDof)
  // A first-order process of correlation ρ carries (1 − ρ²)/(1 + ρ²) of the independent squares of a white one
  // (Bayley & Hammersley, J. R. Stat. Soc. Suppl. 8 (1946) 184–197, for variances).
  const dof = Math.max(1, naiveDof * ((1 - rho * rho) / (1 + rho * rho)))
  const fromResiduals = squares / expected
  const contradicts = chiSquareUpperTail(fromResiduals * dof, dof) < 0.05
  return {
    scale2: contradicts ? fromResiduals : (statedDof + fromResiduals * dof) / (statedDof + dof),
    dof: withDoubtOf(rho, count, contradicts ? dof : dof + statedDof),
    rho,
    residualRatio: Math.sqrt(fromResiduals),
  }
}

/**
 * Degrees of freedom of a variance that rests on a correlation found from `count` marks: a slow quantity's variance goes with (1 + ρ)/(1 − ρ), whose
 * relative doubt 2·u(ρ)/(1 − ρ²) adds to that of the scatter, 2/ν in the square (JCGM 100:2008, G.4.2). Where ρ is not clear of zero it was cut off
 * there, which is doubt enough.
 */
function withDoubtOf(rho: number, count: number, dof: number): number {
  if (rho === 0) return dof
  const variance = (1 - rho * rho) / count
  const clear = (rho * rho) / (rho * rho + variance)
  return 2 / (2 / dof + (clear * 4 * variance) / (1 - rho * rho) ** 2)
}

/** Qᵀ V Q row by row for the correlation V = ρ^|i − j|, in one sweep. */
export function gramOf(q: readonly Float64Array[], rho: number): Float64Array {
  const size = q.length
  const g = new Float64Array(size * size)
  for (let k = 0; k < size; k++) g[k * size + k] = 1
  if (rho === 0) return g
  const n = q[0]?.length ?? 0
  const carried = new Float64Array(size)
  const sums = new Float64Array(size * size)
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < size; k++) {
      const value = q[k]![i]!
      for (let l = 0; l < size; l++) sums[k * size + l]! += value * carried[l]!
    }
    for (let k = 0; k < size; k++) carried[k] = rho * (carried[k]! + q[k]![i]!)
  }
  for (let k = 0; k < size; k++)
    for (let l = 0; l < size; l++) g[k * size + l]! += sums[k * size + l]! + sums[l * size + k]!
  return g
}

/** What share of each direction of a run's Q the fit takes: all of its own ones, part of the shared ones; row by row. */
function sharesOf({ inverse, shared: p }: JointFactor, { r, own, size }: RunFactor): Float64Array {
  const w = new Float64Array(size * size)
  for (let k = 0; k < own; k++) w[k * size + k] = 1
  for (let a = 0; a < p; a++)
    for (let b = 0; b < p; b++) {
      let sum = 0
      for (let c = a; c < p; c++)
        for (let d = b; d < p; d++)
          sum += r[(own + a) * size + own + c]! * inverse.data[c * p + d]! * r[(own + b) * size + own + d]!
      w[(own + a) * size + own + b] = sum
    }
  return w
}

function traceOf(a: Float64Array, b: Float64Array, size: number): number {
  let sum = 0
  for (let k = 0; k < size; k++) for (let l = 0; l < size; l++) sum += a[k * size + l]! * b[l * size + k]!
  return sum
}

/**
 * The ρ ≥ 0 whose residuals show the lag-1 ratio `raw` on average: E ≈ tr(MDMV)/tr(MV), M the residual maker, D the neighbour average.
 * Source of the expectation: Durbin & Watson, Biometrika 37 (1950) 409–428. It is close to linear in ρ, so that few secant steps settle it.
 */
function correlationThatShows(raw: number, runs: readonly RunFactor[], shares: readonly Float64Array[]): number {
  const some = runs.slice(0, runsForBias)
  const pairs = some.map((run, i) => ({ run, share: shares[i]!, neighbours: neighboursOf(run.q) }))
  const expected = (rho: number): number => {
    let numerator = 0
    let denominator = 0
    for (const { run, share, neighbours } of pairs) {
      const n = run.q[0]!.length
      const gram = gramOf(run.q, rho)
      const crossed = crossedOf(run.q, rho)
      numerator += (n - 1) * rho - 2 * traceOf(share, crossed, run.size)
      denominator += n - traceOf(share, gram, run.size)
      // The projection onto all runs' parameters, taken to its own place twice: Σⱼ W G W ≈ W G for runs that are alike.
      for (let k = 0; k < run.size; k++)
        for (let l = 0; l < run.size; l++) {
          let taken = 0
          for (let m = 0; m < run.size; m++) taken += share[k * run.size + m]! * gram[m * run.size + l]!
          numerator += neighbours[k * run.size + l]! * taken
        }
    }
    return denominator > 0 ? numerator / denominator : 0
  }
  let low = 0
  let fLow = expected(0) - raw
  if (fLow >= 0) return 0
  let high = 0.97
  let fHigh = expected(high) - raw
  if (fHigh <= 0) return high
  for (let step = 0; step < 12; step++) {
    const weight = Math.min(Math.max(-fLow / (fHigh - fLow), 0.02), 0.98)
    const middle = low + (high - low) * weight
    const f = expected(middle) - raw
    if (Math.abs(f) < 1e-3) return middle
    if (f < 0) [low, fLow] = [middle, f]
    else [high, fHigh] = [middle, f]
  }
  return low - (fLow * (high - low)) / (fHigh - fLow)
}

/** qₖᵀ D qₗ. */
function neighboursOf(q: readonly Float64Array[]): Float64Array {
  const size = q.length
  const n = q[0]?.length ?? 0
  const result = new Float64Array(size * size)
  for (let k = 0; k < size; k++)
    for (let l = k; l < size; l++) {
      let sum = 0
      for (let i = 1; i < n; i++) sum += 0.5 * (q[k]![i]! * q[l]![i - 1]! + q[k]![i - 1]! * q[l]![i]!)
      result[k * size + l] = sum
      result[l * size + k] = sum
    }
  return result
}

/** qₖᵀ D V qₗ. */
function crossedOf(q: readonly Float64Array[], rho: number): Float64Array {
  const size = q.length
  const n = q[0]?.length ?? 0
  const result = new Float64Array(size * size)
  for (let l = 0; l < size; l++) {
    const v = q[l]!.slice()
    let carried = 0
    for (let i = 1; i < n; i++) {
      carried = rho * (carried + q[l]![i - 1]!)
      v[i]! += carried
    }
    carried = 0
    for (let i = n - 2; i >= 0; i--) {
      carried = rho * (carried + q[l]![i + 1]!)
      v[i]! += carried
    }
    for (let k = 0; k < size; k++) {
      let sum = 0
      for (let i = 1; i < n; i++) sum += 0.5 * (q[k]![i]! * v[i - 1]! + q[k]![i - 1]! * v[i]!)
      result[k * size + l] = sum
    }
  }
  return result
}
