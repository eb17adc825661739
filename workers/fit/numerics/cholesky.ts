import { zeros, type Matrix } from './matrix.ts'

/** A symmetric matrix that is not positive definite; `pivot` numbers the first row at which that shows. */
export interface NotPositiveDefinite {
  readonly kind: 'not-positive-definite'
  readonly pivot: number
}

/** V = L·Lᵀ with L lower triangular. */
export interface CholeskyFactor {
  readonly kind: 'cholesky'
  readonly lower: Matrix
  /** V⁻¹·b. */
  solve(b: ArrayLike<number>): Float64Array
  /** L⁻¹·b: turns observations of covariance V into uncorrelated ones of variance 1. */
  whiten(b: ArrayLike<number>): Float64Array
  /** L·z: turns uncorrelated standard normal numbers into a draw of covariance V (JCGM 101, C.5). */
  colour(z: ArrayLike<number>): Float64Array
  /** V⁻¹. */
  inverse(): Matrix
}

/** Cholesky factor of a symmetric positive definite matrix. Source: Golub & Van Loan, Matrix Computations, alg. 4.2.1. */
export function cholesky(v: Matrix): CholeskyFactor | NotPositiveDefinite {
  const n = v.rows
  if (v.cols !== n) throw new RangeError(`A covariance of ${v.rows} × ${v.cols} is not square.`)
  const lower = zeros(n, n)
  const l = lower.data
  for (let j = 0; j < n; j++) {
    let pivot = v.data[j * n + j]!
    for (let k = 0; k < j; k++) pivot -= l[j * n + k]! ** 2
    if (!(pivot > n * Number.EPSILON * Math.abs(v.data[j * n + j]!))) return { kind: 'not-positive-definite', pivot: j }
    const root = Math.sqrt(pivot)
    l[j * n + j] = root
    for (let i = j + 1; i < n; i++) {
      let sum = v.data[i * n + j]!
      for (let k = 0; k < j; k++) sum -= l[i * n + k]! * l[j * n + k]!
      l[i * n + j] = sum / root
    }
  }
  const whiten = (b: ArrayLike<number>): Float64Array => {
    const x = Float64Array.from(b)
    for (let i = 0; i < n; i++) {
      let sum = x[i]!
      for (let k = 0; k < i; k++) sum -= l[i * n + k]! * x[k]!
      x[i] = sum / l[i * n + i]!
    }
    return x
  }
  const solve = (b: ArrayLike<number>): Float64Array => {
    const x = whiten(b)
    for (let i = n - 1; i >= 0; i--) {
      let sum = x[i]!
      for (let k = i + 1; k < n; k++) sum -= l[k * n + i]! * x[k]!
      x[i] = sum / l[i * n + i]!
    }
    return x
  }
  return {
    kind: 'cholesky',
    lower,
    solve,
    whiten,
    colour: (z) =>
      Float64Array.from({ length: n }, (_, i) => {
        let sum = 0
        for (let k = 0; k <= i; k++) sum += l[i * n + k]! * z[k]!
        return sum
      }),
    inverse() {
      const result = zeros(n, n)
      for (let j = 0; j < n; j++) {
        const unit = new Float64Array(n)
        unit[j] = 1
        result.data.set(solve(unit), j * n)
      }
      return result
    },
  }
}
