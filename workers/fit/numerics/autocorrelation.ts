import * as maths from '../../elementary/maths.ts'
import { applyQ, householderQr } from './householder.ts'
import { factorise, type LeastSquaresFailure } from './least-squares.ts'
import { multiply, transpose, zeros, type Matrix } from './matrix.ts'

/** The residuals of one run, in the order of time. */
export interface ResidualSeries {
  readonly residuals: ArrayLike<number>
  /** Whole numbers that rise with time (frame numbers, say): marks that are `spacing` apart are neighbours. Evenly
   *  spaced by 1 where it is not given. */
  readonly positions?: ArrayLike<number>
  /** The run's own columns of the design that was fitted; with them the estimate is freed of the bias that fitting
   *  causes. */
  readonly design?: Matrix
}

/** Lag-1 autocorrelation of residuals, pooled over runs. */
export interface Lag1Estimate {
  readonly kind: 'estimated'
  /** Σ eᵢeᵢ₊₁ / Σ eᵢ² over neighbouring marks, as it stands. */
  readonly raw: number
  /** The ρ of a first-order process whose residuals, after the same fit, show `raw` on average; within (−1, 1). */
  readonly rho: number
  /** Standard uncertainty of `rho`, √((1 − ρ²)/pairs). */
  readonly u: number
  readonly pairs: number
  /** Distance of neighbours in `positions`: the most common step. */
  readonly spacing: number
}

/** Estimates the correlation of neighbouring residuals, pooled over runs, freed of the bias of fitting.
 *
 *  Fitting p parameters to N marks pulls the raw estimate down by about p/N even for white noise. The expectation of the
 *  raw estimate is computed for the actual designs, E ≈ tr(MDMV)/tr(MV) with M the residual maker and D the neighbour
 *  average, and ρ is chosen to meet it. Source of the expectations: Durbin & Watson, Biometrika 37 (1950) 409–428. */
export function lag1Autocorrelation(
  series: readonly ResidualSeries[],
): Lag1Estimate | { readonly kind: 'too-few-pairs'; readonly have: number; readonly need: number } {
  const prepared = series.map(prepareSeries)
  const spacing = commonStep(prepared)
  let products = 0
  let squares = 0
  let pairs = 0
  for (const { residuals, positions } of prepared)
    for (let i = 0; i < residuals.length; i++) {
      squares += residuals[i]! ** 2
      if (i > 0 && positions[i]! - positions[i - 1]! === spacing) {
        products += residuals[i]! * residuals[i - 1]!
        pairs++
      }
    }
  if (pairs < 4) return { kind: 'too-few-pairs', have: pairs, need: 4 }
  if (squares === 0) return { kind: 'estimated', raw: 0, rho: 0, u: 1 / Math.sqrt(pairs), pairs, spacing }
  const raw = products / squares
  const rho = rhoThatShows(raw, prepared, spacing)
  return { kind: 'estimated', raw, rho, u: Math.sqrt(Math.max(0, 1 - rho * rho) / pairs), pairs, spacing }
}

/** The statistic Σ(eᵢ − eᵢ₋₁)² / Σ eᵢ², near 2 for white residuals. Null when there is nothing to compare.
 *  Source: Durbin & Watson, Biometrika 37 (1950) 409–428. */
export function durbinWatson(residuals: ArrayLike<number>): number | null {
  let squares = 0
  let steps = 0
  for (let i = 0; i < residuals.length; i++) {
    squares += residuals[i]! ** 2
    if (i > 0) steps += (residuals[i]! - residuals[i - 1]!) ** 2
  }
  return residuals.length > 1 && squares > 0 ? steps / squares : null
}

/** Number of independent observations that n marks of lag-1 correlation ρ are worth for a mean: n(1 − ρ)/(1 + ρ), from 1
 *  to n (negative correlation is not counted as a gain).
 *  Source: Bayley & Hammersley, J. R. Stat. Soc. Suppl. 8 (1946) 184–197, for long series. */
export function effectiveCount(n: number, rho: number): number {
  const limited = Math.min(Math.max(rho, 0), 1)
  return Math.max(1, (n * (1 - limited)) / (1 + limited))
}

/** Least squares read with a first-order correlation of the observations, instead of white noise. */
export interface CorrelatedCovariance {
  readonly kind: 'computed'
  /** (XᵀX)⁻¹XᵀVX(XᵀX)⁻¹: times the variance of one observation, the covariance of the ordinary estimates. */
  readonly unscaledCovariance: Matrix
  /** E[RSS]/σ² = tr(MV): divide RSS by it, not by the degrees of freedom, for the variance of one observation. */
  readonly expectedRss: number
}

/** Covariance of ordinary least-squares estimates when observation i and j correlate by ρ^|positionᵢ − positionⱼ|/spacing
 *  inside a run and not between runs. `runs` gives the first row of each run in the design.
 *
 *  Source: the covariance of a linear estimate (Aitken); the observations form a Markov chain inside a run, so that V·x
 *  costs two sweeps instead of a full matrix. */
export function correlatedCovariance(
  design: Matrix,
  rho: number,
  layout: { readonly runs?: readonly number[]; readonly positions?: ArrayLike<number>; readonly spacing?: number } = {},
): CorrelatedCovariance | LeastSquaresFailure {
  const factorised = factorise(design)
  if (factorised.kind !== 'factorised') return factorised
  const { rows, cols } = design
  const starts = new Set(layout.runs ?? [0])
  const decay = new Float64Array(rows)
  for (let i = 1; i < rows; i++) {
    const gap = layout.positions === undefined ? 1 : layout.positions[i]! - layout.positions[i - 1]!
    decay[i] = starts.has(i) ? 0 : signedPower(rho, gap / (layout.spacing ?? 1))
  }
  const vx = zeros(rows, cols)
  for (let j = 0; j < cols; j++) {
    const product = correlate(
      Float64Array.from({ length: rows }, (_, i) => design.data[i * cols + j]!),
      decay,
    )
    for (let i = 0; i < rows; i++) vx.data[i * cols + j] = product[i]!
  }
  const inverse = factorised.unscaledCovariance()
  const middle = multiply(transpose(design), vx)
  const inner = multiply(inverse, middle)
  let explained = 0
  for (let j = 0; j < cols; j++) explained += inner.data[j * cols + j]!
  return { kind: 'computed', unscaledCovariance: multiply(inner, inverse), expectedRss: rows - explained }
}

interface Prepared {
  readonly residuals: Float64Array
  readonly positions: Float64Array
  readonly basis: Float64Array[]
}

function prepareSeries({ residuals, positions, design }: ResidualSeries): Prepared {
  const n = residuals.length
  return {
    residuals: Float64Array.from(residuals),
    positions: positions === undefined ? Float64Array.from({ length: n }, (_, i) => i) : Float64Array.from(positions),
    basis: design === undefined || n === 0 ? [] : orthonormalBasis(design),
  }
}

/** Orthonormal vectors that span the columns of a design. */
function orthonormalBasis({ rows, cols, data }: Matrix): Float64Array[] {
  if (rows < cols) throw new RangeError(`A run of ${rows} marks cannot carry ${cols} parameters of its own.`)
  const qr = householderQr({ rows, cols, data: data.slice() }, rows * Number.EPSILON)
  return Array.from({ length: qr.rank }, (_, j) => {
    const vector = new Float64Array(rows)
    vector[j] = 1
    applyQ(qr, vector)
    return vector
  })
}

function commonStep(series: readonly Prepared[]): number {
  const counts = new Map<number, number>()
  for (const { positions } of series)
    for (let i = 1; i < positions.length; i++) {
      const step = positions[i]! - positions[i - 1]!
      counts.set(step, (counts.get(step) ?? 0) + 1)
    }
  let best = 1
  let most = 0
  for (const [step, count] of counts)
    if (count > most || (count === most && step < best)) {
      best = step
      most = count
    }
  return best
}

function rhoThatShows(raw: number, series: readonly Prepared[], spacing: number): number {
  const limit = 0.999
  let low = -limit
  let high = limit
  // The expectation rises with ρ: forty halvings leave 2e-12.
  for (let n = 0; n < 40; n++) {
    const middle = (low + high) / 2
    if (expectedRaw(middle, series, spacing) < raw) low = middle
    else high = middle
  }
  return (low + high) / 2
}

/** tr(MDMV)/tr(MV) with M = I − QQᵀ, D the symmetric neighbour matrix (½ beside the diagonal), V the correlation. */
function expectedRaw(rho: number, series: readonly Prepared[], spacing: number): number {
  let numerator = 0
  let denominator = 0
  for (const { residuals, positions, basis } of series) {
    const n = residuals.length
    const decay = new Float64Array(n)
    const isPair = new Uint8Array(n)
    for (let i = 1; i < n; i++) {
      const gap = positions[i]! - positions[i - 1]!
      decay[i] = signedPower(rho, gap / spacing)
      isPair[i] = gap === spacing ? 1 : 0
      numerator += isPair[i]! * decay[i]!
    }
    denominator += n
    const neighbours = basis.map((q) => neighbourAverage(q, isPair))
    const correlated = basis.map((q) => correlate(q, decay))
    basis.forEach((q, a) => {
      numerator -= 2 * dot(neighbours[a]!, correlated[a]!)
      denominator -= dot(q, correlated[a]!)
      basis.forEach((other, b) => {
        numerator += dot(other, neighbours[a]!) * dot(q, correlated[b]!)
      })
    })
  }
  return numerator / denominator
}

/** V·x for the correlation V of a Markov chain, by one sweep each way. */
function correlate(x: Float64Array, decay: Float64Array): Float64Array {
  const result = x.slice()
  let carried = 0
  for (let i = 1; i < x.length; i++) {
    carried = decay[i]! * (carried + x[i - 1]!)
    result[i]! += carried
  }
  carried = 0
  for (let i = x.length - 2; i >= 0; i--) {
    carried = decay[i + 1]! * (carried + x[i + 1]!)
    result[i]! += carried
  }
  return result
}

function neighbourAverage(x: Float64Array, isPair: Uint8Array): Float64Array {
  return x.map((_, i) => ((isPair[i]! ? x[i - 1]! : 0) + (i + 1 < x.length && isPair[i + 1]! ? x[i + 1]! : 0)) / 2)
}

/** ρ^lag, where a negative ρ alternates over whole lags and counts by its size between them. */
function signedPower(rho: number, lag: number): number {
  const size = maths.pow(Math.abs(rho), lag)
  return rho < 0 && Number.isInteger(lag) && lag % 2 === 1 ? -size : size
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!
  return sum
}
