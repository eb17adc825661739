import * as maths from '../../elementary/maths.ts'
import { applyTransposedQ, householderQr, solveTriangle, type HouseholderQr } from './householder.ts'
import { factorise, type LeastSquaresFailure } from './least-squares.ts'
import { centralDifferences } from './numeric-jacobian.ts'
import { scaled, zeros, type Matrix } from './matrix.ts'

/** A curve with parameters, to be fitted to observations. */
export interface NonlinearProblem {
  readonly observations: ArrayLike<number>
  /** One weight per observation, 1/σ² where σ is known; all 1 by default. */
  readonly weights?: ArrayLike<number>
  readonly start: ArrayLike<number>
  /** The model's values at all observations. A value that is no number marks parameters that are not allowed. */
  predict(parameters: Float64Array): ArrayLike<number>
  /** ∂prediction_i/∂parameter_j; taken by central differences where it is not given. */
  jacobian?(parameters: Float64Array): Matrix
  /** Typical sizes of the parameters, used for the difference steps of those that are near 0. */
  readonly typical?: ArrayLike<number>
}

export interface LevenbergMarquardtOptions {
  /** Most evaluations of the Jacobian; 500 by default. */
  readonly maxIterations?: number
  /** Converged when the remaining Gauss–Newton step is below this share of the standard errors; 1e-8 by default. */
  readonly tolerance?: number
}

export interface NonlinearFit {
  readonly kind: 'fitted'
  readonly parameters: Float64Array
  /** Observation less prediction, not weighted. */
  readonly residuals: Float64Array
  /** Σ wᵢ residualᵢ². */
  readonly rss: number
  readonly dof: number
  readonly unscaledCovariance: Matrix
  /** rss / dof; null without a degree of freedom. */
  readonly residualVariance: number | null
  readonly scaledCovariance: Matrix | null
  readonly standardErrors: Float64Array | null
  readonly iterations: number
}

export type NonlinearFailure =
  | LeastSquaresFailure
  | { readonly kind: 'not-finite'; readonly where: 'start'; readonly row: number }
  | {
      readonly kind: 'not-converged'
      readonly parameters: Float64Array
      readonly rss: number
      readonly iterations: number
      readonly reason: 'iterations-spent' | 'no-descent'
    }

/** Nonlinear least squares by Levenberg and Marquardt's method.
 *
 *  A trust region in the scale of the Jacobian's columns keeps steps honest; a fit counts as converged only when the
 *  undamped step that remains is small beside the standard errors (or beside rounding), so that a search that merely
 *  slowed down is reported as `not-converged`.
 *  Sources: J. J. Moré, Lecture Notes in Mathematics 630 (1978) 105–116 (scaling); K. Madsen, H. B. Nielsen,
 *  O. Tingleff, Methods for Non-linear Least Squares Problems (2004), alg. 3.16 (damping); Bates & Watts, Technometrics
 *  23 (1981) 179–183 (convergence measured against the standard errors). */
export function levenbergMarquardt(
  problem: NonlinearProblem,
  options: LevenbergMarquardtOptions = {},
): NonlinearFit | NonlinearFailure {
  const { observations } = problem
  const rows = observations.length
  const cols = problem.start.length
  if (rows < cols || cols === 0) return { kind: 'too-few-rows', have: rows, need: Math.max(1, cols) }
  const maxIterations = options.maxIterations ?? 500
  const tolerance = options.tolerance ?? 1e-8

  const roots = Float64Array.from({ length: rows }, (_, i) => Math.sqrt(problem.weights?.[i] ?? 1))
  let x = Float64Array.from(problem.start)
  let residuals = weightedResiduals(problem, roots, x)
  const bad = residuals.findIndex((value) => !Number.isFinite(value))
  if (bad >= 0) return { kind: 'not-finite', where: 'start', row: bad }
  let rss = sumOfSquares(residuals)
  // What rounding alone does to the residuals: a step that changes no prediction by more leads nowhere.
  const rounding = 4 * Number.EPSILON * Math.sqrt(sumOfSquares(roots.map((root, i) => root * observations[i]!)))
  const scale = new Float64Array(cols)
  let damping = 1e-3
  let growth = 2

  for (let iteration = 1; iteration <= maxIterations; iteration++) {
    const jacobian = weightedJacobian(problem, roots, x)
    if (jacobian === null)
      return { kind: 'not-converged', parameters: x, rss, iterations: iteration, reason: 'no-descent' }
    for (let j = 0; j < cols; j++) scale[j] = Math.max(scale[j]!, columnSize(jacobian, j))
    const qr = householderQr({ rows, cols, data: jacobian.data.slice() }, rows * Number.EPSILON)
    const rotated = residuals.slice()
    applyTransposedQ(qr, rotated)
    if (isConverged(qr, rotated, x, rounding, tolerance))
      return finish(problem, polished(problem, roots, qr, rotated, x, rss), iteration)

    let accepted = false
    for (let attempt = 0; attempt < 60 && !accepted; attempt++) {
      const { step, predicted } = dampedStep(qr, rotated, scale, damping)
      const trial = x.map((value, j) => value + step[j]!)
      const trialResiduals = weightedResiduals(problem, roots, trial)
      const trialRss = sumOfSquares(trialResiduals)
      const gain = (rss - trialRss) / predicted
      if (Number.isFinite(trialRss) && gain > 0) {
        damping *= Math.max(1 / 3, 1 - maths.pow(2 * gain - 1, 3))
        growth = 2
        x = trial
        residuals = trialResiduals
        rss = trialRss
        accepted = true
      } else {
        damping *= growth
        growth *= 2
      }
    }
    if (!accepted) {
      // Rounding in the model can hide the last descent: what remains must then at least be small.
      if (isConverged(qr, rotated, x, rounding, 1e-4))
        return finish(problem, polished(problem, roots, qr, rotated, x, rss), iteration)
      return { kind: 'not-converged', parameters: x, rss, iterations: iteration, reason: 'no-descent' }
    }
    damping = Math.max(damping, 1e-20)
  }
  return { kind: 'not-converged', parameters: x, rss, iterations: maxIterations, reason: 'iterations-spent' }
}

/** The last, undamped step, taken when it does not lose: it carries the parameters on to rounding. */
function polished(
  problem: NonlinearProblem,
  roots: Float64Array,
  qr: HouseholderQr,
  rotated: Float64Array,
  x: Float64Array,
  rss: number,
): Float64Array {
  const step = rotated.slice(0, x.length)
  solveTriangle(qr, step)
  const better = x.slice()
  qr.order.forEach((original, k) => (better[original]! += step[k]!))
  return sumOfSquares(weightedResiduals(problem, roots, better)) <= rss * (1 + 1e-12) ? better : x
}

function finish(problem: NonlinearProblem, x: Float64Array, iterations: number): NonlinearFit | NonlinearFailure {
  const rows = problem.observations.length
  const cols = x.length
  const jacobian = problem.jacobian?.(x) ?? centralDifferences((p) => problem.predict(p), x, problem.typical)
  const factorised = factorise(jacobian, problem.weights === undefined ? {} : { weights: problem.weights })
  if (factorised.kind !== 'factorised') return factorised
  const predicted = problem.predict(x)
  const residuals = Float64Array.from({ length: rows }, (_, i) => problem.observations[i]! - predicted[i]!)
  const rss = residuals.reduce((sum, value, i) => sum + value * value * (problem.weights?.[i] ?? 1), 0)
  const { dof } = factorised
  const unscaledCovariance = factorised.unscaledCovariance()
  const residualVariance = dof > 0 ? rss / dof : null
  const scaledCovariance = residualVariance === null ? null : scaled(unscaledCovariance, residualVariance)
  const standardErrors =
    scaledCovariance === null
      ? null
      : Float64Array.from({ length: cols }, (_, j) => Math.sqrt(scaledCovariance.data[j * cols + j]!))
  return {
    kind: 'fitted',
    parameters: x,
    residuals,
    rss,
    dof,
    unscaledCovariance,
    residualVariance,
    scaledCovariance,
    standardErrors,
    iterations,
  }
}

/** Small remaining Gauss–Newton step: in units of the standard errors, or of the rounding of predictions or parameters. */
function isConverged(
  qr: HouseholderQr,
  rotated: Float64Array,
  x: Float64Array,
  rounding: number,
  tolerance: number,
): boolean {
  const { rows, cols } = qr.work
  if (qr.rank < cols) return false
  const dof = rows - cols
  let along = 0
  let across = 0
  for (let i = 0; i < cols; i++) along += rotated[i]! ** 2
  for (let i = cols; i < rotated.length; i++) across += rotated[i]! ** 2
  if (Math.sqrt(along) <= rounding) return true
  if (dof > 0 && Math.sqrt(along / cols) <= tolerance * Math.sqrt(across / dof)) return true
  const step = rotated.slice(0, cols)
  solveTriangle(qr, step)
  return qr.order.every((original, k) => Math.abs(step[k]!) <= 1e-13 * Math.abs(x[original]!))
}

/** Solves min ‖r − J·δ‖² + λ‖D·δ‖² from the triangle of J, and says by how much a linear model's sum of squares falls. */
function dampedStep(
  qr: HouseholderQr,
  rotated: Float64Array,
  scale: Float64Array,
  damping: number,
): { step: Float64Array; predicted: number } {
  const { cols } = qr.work
  const stacked = zeros(2 * cols, cols)
  const right = new Float64Array(2 * cols)
  for (let i = 0; i < cols; i++) {
    for (let j = i; j < cols; j++) stacked.data[i * cols + j] = qr.work.data[i * cols + j]!
    const size = scale[qr.order[i]!]!
    stacked.data[(cols + i) * cols + i] = Math.sqrt(damping) * (size > 0 ? size : 1)
    right[i] = rotated[i]!
  }
  const inner = householderQr(stacked, 0)
  applyTransposedQ(inner, right)
  const permuted = right.slice(0, cols)
  solveTriangle(inner, permuted)
  const step = new Float64Array(cols)
  for (let k = 0; k < cols; k++) step[qr.order[inner.order[k]!]!] = permuted[k]!
  let predicted = 0
  for (let i = 0; i < cols; i++) {
    let along = 0
    for (let j = i; j < cols; j++) along += qr.work.data[i * cols + j]! * step[qr.order[j]!]!
    const size = scale[qr.order[i]!]!
    predicted += along ** 2 + 2 * damping * ((size > 0 ? size : 1) * step[qr.order[i]!]!) ** 2
  }
  return { step, predicted }
}

function weightedResiduals(problem: NonlinearProblem, roots: Float64Array, x: Float64Array): Float64Array {
  const predicted = problem.predict(x)
  return roots.map((root, i) => (root === 0 ? 0 : root * (problem.observations[i]! - predicted[i]!)))
}

function weightedJacobian(problem: NonlinearProblem, roots: Float64Array, x: Float64Array): Matrix | null {
  const raw = problem.jacobian?.(x) ?? centralDifferences((p) => problem.predict(p), x, problem.typical)
  const data = raw.data.map((value, index) => value * roots[Math.floor(index / raw.cols)]!)
  return data.every((value) => Number.isFinite(value)) ? { rows: raw.rows, cols: raw.cols, data } : null
}

function sumOfSquares(values: Float64Array): number {
  let sum = 0
  for (const value of values) sum += value * value
  return sum
}

function columnSize({ rows, cols, data }: Matrix, j: number): number {
  let sum = 0
  for (let i = 0; i < rows; i++) sum += data[i * cols + j]! ** 2
  return Math.sqrt(sum)
}
