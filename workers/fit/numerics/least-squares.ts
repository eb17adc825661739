import * as maths from '../../elementary/maths.ts'
import { DoubleDoubleSum } from './double-double.ts'
import {
  applyQ,
  applyTransposedQ,
  householderQr,
  solveTransposedTriangle,
  solveTriangle,
  type HouseholderQr,
} from './householder.ts'
import { scaled, zeros, type Matrix } from './matrix.ts'

/** What a linear least-squares problem may lack. `dependent` numbers the columns that add nothing to the others. */
export type LeastSquaresFailure =
  | { readonly kind: 'too-few-rows'; readonly have: number; readonly need: number }
  | {
      readonly kind: 'rank-deficient'
      readonly rank: number
      readonly columns: number
      readonly dependent: readonly number[]
    }
  | { readonly kind: 'not-finite'; readonly where: 'design' | 'observations' | 'weights'; readonly row: number }

/** A solution of min Σ wᵢ (yᵢ − xᵢ·b)². */
export interface LinearFit {
  readonly kind: 'fitted'
  readonly parameters: Float64Array
  /** yᵢ − xᵢ·b, not weighted. */
  readonly residuals: Float64Array
  /** Σ wᵢ residualᵢ². */
  readonly rss: number
  /** Rows of positive weight less parameters. */
  readonly dof: number
  /** (XᵀWX)⁻¹: the covariance of the parameters when the weights are 1/σ² of the observations. */
  readonly unscaledCovariance: Matrix
  /** rss / dof, the variance of an observation of unit weight; null without a degree of freedom. */
  readonly residualVariance: number | null
  /** residualVariance · (XᵀWX)⁻¹; null without a degree of freedom. */
  readonly scaledCovariance: Matrix | null
  /** Square roots of the diagonal of `scaledCovariance`; null without a degree of freedom. */
  readonly standardErrors: Float64Array | null
}

export interface FactoriseOptions {
  /** One weight per row, ≥ 0; 1/σ² where σ is known. A row of weight 0 takes no part. */
  readonly weights?: ArrayLike<number>
  /** A column counts as dependent when what it adds is below this share of the largest; default rows · 2⁻⁵². */
  readonly rankTolerance?: number
  /** Most steps of refinement in extended precision; default by the condition: none below 100, then up to 5. */
  readonly refinementSteps?: number
}

/** A design matrix, factorised once and used for any number of observation vectors. */
export interface FactorisedDesign {
  readonly kind: 'factorised'
  readonly rows: number
  readonly cols: number
  readonly dof: number
  /** Largest over smallest diagonal entry of R after scaling the columns: a lower estimate of the condition. */
  readonly condition: number
  /** Parameters alone: the cheap way for the many re-fits of an uncertainty budget. */
  parameters(observations: ArrayLike<number>): Float64Array
  /** The whole fit. `not-finite` when an observation of positive weight is. */
  fit(observations: ArrayLike<number>): LinearFit | Extract<LeastSquaresFailure, { kind: 'not-finite' }>
  /** (XᵀWX)⁻¹, computed once. */
  unscaledCovariance(): Matrix
}

/** Factorises a design by Householder QR with column exchange.
 *
 *  Columns are scaled by powers of two, which rounds nothing. Solutions are refined through the augmented system with
 *  residuals in about 32 digits, so that ill-conditioned designs with exact entries keep full precision.
 *  Source: Å. Björck, BIT 7 (1967) 257–278. */
export function factorise(design: Matrix, options: FactoriseOptions = {}): FactorisedDesign | LeastSquaresFailure {
  const { rows, cols } = design
  const prepared = prepare(design, options.weights)
  if (prepared.kind !== 'prepared') return prepared
  const { matrix, exponents, rootWeights, used } = prepared
  if (used < cols || cols === 0) return { kind: 'too-few-rows', have: used, need: Math.max(1, cols) }
  const tolerance = options.rankTolerance ?? rows * Number.EPSILON
  const qr = householderQr({ rows, cols, data: matrix.data.slice() }, tolerance)
  if (qr.rank < cols)
    return {
      kind: 'rank-deficient',
      rank: qr.rank,
      columns: cols,
      dependent: [...qr.order.slice(qr.rank)].sort((a, b) => a - b),
    }
  const condition = Math.abs(qr.work.data[0]! / qr.work.data[(cols - 1) * cols + cols - 1]!)
  const steps = options.refinementSteps ?? (condition < 100 ? 0 : 5)

  let covariance: Matrix | undefined
  const unscaledCovariance = () => (covariance ??= normalInverse(matrix, qr, exponents, steps))
  const weighted = (y: ArrayLike<number>) => {
    if (y.length !== rows) throw new RangeError(`${y.length} observations for a design of ${rows} rows.`)
    // A row of weight 0 takes no part, whatever stands in it.
    return Float64Array.from(y, (value, i) =>
      rootWeights === null ? value : rootWeights[i] === 0 ? 0 : value * rootWeights[i]!,
    )
  }
  const solve = (y: ArrayLike<number>) => solveAugmented(matrix, qr, weighted(y), null, steps)
  const unscale = (x: Float64Array) => x.map((value, j) => value * 2 ** -exponents[j]!)

  return {
    kind: 'factorised',
    rows,
    cols,
    dof: used - cols,
    condition,
    parameters: (y) => unscale(solve(y).x),
    unscaledCovariance,
    fit(y) {
      const bad = firstNotFinite(y, options.weights)
      if (bad !== null) return { kind: 'not-finite', where: 'observations', row: bad }
      const { x, r } = solve(y)
      const parameters = unscale(x)
      const residuals = rawResiduals(design, y, parameters)
      let rss = 0
      for (const value of r) rss += value * value
      const dof = used - cols
      const unscaled = unscaledCovariance()
      const residualVariance = dof > 0 ? rss / dof : null
      const scaledCovariance = residualVariance === null ? null : scaled(unscaled, residualVariance)
      const standardErrors =
        scaledCovariance === null
          ? null
          : Float64Array.from({ length: cols }, (_, j) => Math.sqrt(scaledCovariance.data[j * cols + j]!))
      return {
        kind: 'fitted',
        parameters,
        residuals,
        rss,
        dof,
        unscaledCovariance: unscaled,
        residualVariance,
        scaledCovariance,
        standardErrors,
      }
    },
  }
}

/** Fits one vector of observations. See `factorise` for method and options. */
export function leastSquares(
  design: Matrix,
  observations: ArrayLike<number>,
  options: FactoriseOptions = {},
): LinearFit | LeastSquaresFailure {
  const factorised = factorise(design, options)
  return factorised.kind === 'factorised' ? factorised.fit(observations) : factorised
}

interface Prepared {
  readonly kind: 'prepared'
  readonly matrix: Matrix
  readonly exponents: Int32Array
  readonly rootWeights: Float64Array | null
  readonly used: number
}

function prepare(
  design: Matrix,
  weights: ArrayLike<number> | undefined,
): Prepared | Extract<LeastSquaresFailure, { kind: 'not-finite' }> {
  const { rows, cols } = design
  if (weights !== undefined && weights.length !== rows)
    throw new RangeError(`${weights.length} weights for a design of ${rows} rows.`)
  const rootWeights = weights === undefined ? null : new Float64Array(rows)
  const data = design.data.slice()
  let used = rows
  for (let i = 0; i < rows; i++) {
    if (rootWeights !== null) {
      const weight = weights![i]!
      if (!Number.isFinite(weight) || weight < 0) return { kind: 'not-finite', where: 'weights', row: i }
      rootWeights[i] = Math.sqrt(weight)
      if (weight === 0) {
        used--
        data.fill(0, i * cols, (i + 1) * cols)
        continue
      }
    }
    for (let j = 0; j < cols; j++) {
      const value = data[i * cols + j]!
      if (!Number.isFinite(value)) return { kind: 'not-finite', where: 'design', row: i }
      if (rootWeights !== null) data[i * cols + j] = value * rootWeights[i]!
    }
  }
  const exponents = new Int32Array(cols)
  for (let j = 0; j < cols; j++) {
    let largest = 0
    for (let i = 0; i < rows; i++) largest = Math.max(largest, Math.abs(data[i * cols + j]!))
    const exponent = largest > 0 ? Math.floor(maths.log2(largest)) : 0
    exponents[j] = exponent
    const factor = 2 ** -exponent
    for (let i = 0; i < rows; i++) data[i * cols + j]! *= factor
  }
  return { kind: 'prepared', matrix: { rows, cols, data }, exponents, rootWeights, used }
}

/** Solves r + A·x = b, Aᵀ·r = c, refining while each correction is clearly smaller than the one before. */
function solveAugmented(
  a: Matrix,
  qr: HouseholderQr,
  b: Float64Array | null,
  c: Float64Array | null,
  steps: number,
): { x: Float64Array; r: Float64Array } {
  const { rows, cols } = a
  const x = new Float64Array(cols)
  const r = new Float64Array(rows)
  let f: Float64Array = b?.slice() ?? new Float64Array(rows)
  let g: Float64Array = c?.slice() ?? new Float64Array(cols)
  let before = Infinity
  for (let step = 0; ; step++) {
    const h = Float64Array.from(qr.order, (original) => g[original]!)
    solveTransposedTriangle(qr, h)
    applyTransposedQ(qr, f)
    const dx = new Float64Array(cols)
    for (let j = 0; j < cols; j++) {
      dx[j] = f[j]! - h[j]!
      f[j] = h[j]!
    }
    solveTriangle(qr, dx)
    applyQ(qr, f)
    let change = 0
    for (const value of dx) change = Math.max(change, Math.abs(value))
    if (change > before / 2) break
    for (let j = 0; j < cols; j++) x[qr.order[j]!]! += dx[j]!
    for (let i = 0; i < rows; i++) r[i]! += f[i]!
    before = change
    if (step >= steps || change === 0) break
    ;({ f, g } = augmentedResidual(a, b, c, x, r))
  }
  return { x, r }
}

function augmentedResidual(
  { rows, cols, data }: Matrix,
  b: Float64Array | null,
  c: Float64Array | null,
  x: Float64Array,
  r: Float64Array,
): { f: Float64Array; g: Float64Array } {
  const f = new Float64Array(rows)
  const columns = Array.from({ length: cols }, (_, j) => new DoubleDoubleSum().add(c?.[j] ?? 0))
  const sum = new DoubleDoubleSum()
  for (let i = 0; i < rows; i++) {
    sum
      .reset()
      .add(b?.[i] ?? 0)
      .add(-r[i]!)
    for (let j = 0; j < cols; j++) {
      const entry = data[i * cols + j]!
      sum.addProduct(-entry, x[j]!)
      columns[j]!.addProduct(-entry, r[i]!)
    }
    f[i] = sum.value()
  }
  return { f, g: Float64Array.from(columns, (column) => column.value()) }
}

function normalInverse(a: Matrix, qr: HouseholderQr, exponents: Int32Array, steps: number): Matrix {
  const { cols } = a
  const result = zeros(cols, cols)
  for (let j = 0; j < cols; j++) {
    const unit = new Float64Array(cols)
    unit[j] = 1
    if (steps > 0) {
      unit[j] = -1
      result.data.set(solveAugmented(a, qr, null, unit, steps).x, j * cols)
      continue
    }
    const z = Float64Array.from(qr.order, (original) => unit[original]!)
    solveTransposedTriangle(qr, z)
    solveTriangle(qr, z)
    for (let k = 0; k < cols; k++) result.data[j * cols + qr.order[k]!] = z[k]!
  }
  for (let i = 0; i < cols; i++)
    for (let j = 0; j <= i; j++) {
      const mean = (result.data[i * cols + j]! + result.data[j * cols + i]!) / 2
      result.data[i * cols + j] = result.data[j * cols + i] = mean * 2 ** -(exponents[i]! + exponents[j]!)
    }
  return result
}

function rawResiduals({ rows, cols, data }: Matrix, y: ArrayLike<number>, parameters: Float64Array): Float64Array {
  const result = new Float64Array(rows)
  const sum = new DoubleDoubleSum()
  for (let i = 0; i < rows; i++) {
    sum.reset().add(y[i]!)
    for (let j = 0; j < cols; j++) sum.addProduct(-data[i * cols + j]!, parameters[j]!)
    result[i] = sum.value()
  }
  return result
}

function firstNotFinite(y: ArrayLike<number>, weights: ArrayLike<number> | undefined): number | null {
  for (let i = 0; i < y.length; i++) if (weights?.[i] !== 0 && !Number.isFinite(y[i])) return i
  return null
}
