/**
 * Least squares of a few unknowns by Householder reflections: min ‖A x − b‖. `a` holds `rows` × `cols` numbers row by row; `a` and `b` are
 * overwritten. Returns undefined where the columns are dependent to within rounding.
 * Source: Golub & Van Loan, Matrix Computations, Householder QR.
 */
export function solveLeastSquares(
  a: Float64Array,
  b: Float64Array,
  rows: number,
  cols: number,
): Float64Array | undefined {
  let greatest = 0
  for (let k = 0; k < cols; k++) {
    let norm = 0
    for (let i = k; i < rows; i++) norm += a[i * cols + k]! ** 2
    norm = Math.sqrt(norm)
    greatest = Math.max(greatest, norm)
    if (norm <= greatest * 1e-14 || !Number.isFinite(norm)) return undefined
    const alpha = a[k * cols + k]! > 0 ? -norm : norm
    const v0 = a[k * cols + k]! - alpha
    let vv = v0 * v0
    for (let i = k + 1; i < rows; i++) vv += a[i * cols + k]! ** 2
    for (let j = k + 1; j < cols; j++) {
      let dot = v0 * a[k * cols + j]!
      for (let i = k + 1; i < rows; i++) dot += a[i * cols + k]! * a[i * cols + j]!
      const t = (2 * dot) / vv
      a[k * cols + j] = a[k * cols + j]! - t * v0
      for (let i = k + 1; i < rows; i++) a[i * cols + j] = a[i * cols + j]! - t * a[i * cols + k]!
    }
    let dot = v0 * b[k]!
    for (let i = k + 1; i < rows; i++) dot += a[i * cols + k]! * b[i]!
    const t = (2 * dot) / vv
    b[k] = b[k]! - t * v0
    for (let i = k + 1; i < rows; i++) b[i] = b[i]! - t * a[i * cols + k]!
    a[k * cols + k] = alpha
  }
  const x = new Float64Array(cols)
  for (let k = cols - 1; k >= 0; k--) {
    let sum = b[k]!
    for (let j = k + 1; j < cols; j++) sum -= a[k * cols + j]! * x[j]!
    x[k] = sum / a[k * cols + k]!
  }
  return x
}
