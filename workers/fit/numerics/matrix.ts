/** A dense matrix: entries row after row in one Float64Array, element (i, j) at `data[i * cols + j]`. */
export interface Matrix {
  readonly rows: number
  readonly cols: number
  readonly data: Float64Array
}

/** A matrix of zeros. Throws for negative or broken sizes. */
export function zeros(rows: number, cols: number): Matrix {
  if (!Number.isInteger(rows) || !Number.isInteger(cols) || rows < 0 || cols < 0)
    throw new RangeError(`A matrix cannot have ${rows} rows and ${cols} columns.`)
  return { rows, cols, data: new Float64Array(rows * cols) }
}

/** The identity matrix of the given size. */
export function identity(size: number): Matrix {
  const result = zeros(size, size)
  for (let i = 0; i < size; i++) result.data[i * size + i] = 1
  return result
}

/** A matrix from its rows. Throws when the rows differ in length. */
export function matrixFromRows(rows: readonly ArrayLike<number>[]): Matrix {
  const cols = rows[0]?.length ?? 0
  const result = zeros(rows.length, cols)
  rows.forEach((row, i) => {
    if (row.length !== cols) throw new RangeError(`Row ${i} has ${row.length} entries, row 0 has ${cols}.`)
    result.data.set(row, i * cols)
  })
  return result
}

/** A matrix from its columns. Throws when the columns differ in length. */
export function matrixFromColumns(columns: readonly ArrayLike<number>[]): Matrix {
  return transpose(matrixFromRows(columns))
}

/** A matrix whose entry (i, j) is `entry(i, j)`. */
export function matrixOf(rows: number, cols: number, entry: (i: number, j: number) => number): Matrix {
  const result = zeros(rows, cols)
  for (let i = 0; i < rows; i++) for (let j = 0; j < cols; j++) result.data[i * cols + j] = entry(i, j)
  return result
}

/** Entry (i, j). Throws outside the matrix. */
export function at(m: Matrix, i: number, j: number): number {
  const value = j < m.cols ? m.data[i * m.cols + j] : undefined
  if (value === undefined) throw new RangeError(`Entry (${i}, ${j}) lies outside a ${m.rows} × ${m.cols} matrix.`)
  return value
}

/** Sets entry (i, j). Throws outside the matrix. */
export function put(m: Matrix, i: number, j: number, value: number): void {
  if (i < 0 || i >= m.rows || j < 0 || j >= m.cols)
    throw new RangeError(`Entry (${i}, ${j}) lies outside a ${m.rows} × ${m.cols} matrix.`)
  m.data[i * m.cols + j] = value
}

/** Row i as a view on the same memory. */
export function row(m: Matrix, i: number): Float64Array {
  return m.data.subarray(i * m.cols, (i + 1) * m.cols)
}

/** Column j as a copy. */
export function column(m: Matrix, j: number): Float64Array {
  return Float64Array.from({ length: m.rows }, (_, i) => at(m, i, j))
}

/** The diagonal as a copy. */
export function diagonal(m: Matrix): Float64Array {
  return Float64Array.from({ length: Math.min(m.rows, m.cols) }, (_, i) => at(m, i, i))
}

export function transpose(m: Matrix): Matrix {
  const result = zeros(m.cols, m.rows)
  for (let i = 0; i < m.rows; i++)
    for (let j = 0; j < m.cols; j++) result.data[j * m.rows + i] = m.data[i * m.cols + j]!
  return result
}

/** The matrix product A·B. */
export function multiply(a: Matrix, b: Matrix): Matrix {
  if (a.cols !== b.rows) throw new RangeError(`${a.rows} × ${a.cols} times ${b.rows} × ${b.cols} does not fit.`)
  const result = zeros(a.rows, b.cols)
  for (let i = 0; i < a.rows; i++)
    for (let k = 0; k < a.cols; k++) {
      const factor = a.data[i * a.cols + k]!
      if (factor === 0) continue
      for (let j = 0; j < b.cols; j++) result.data[i * b.cols + j]! += factor * b.data[k * b.cols + j]!
    }
  return result
}

/** The product of a matrix and a vector. */
export function multiplyVector(a: Matrix, x: ArrayLike<number>): Float64Array {
  if (a.cols !== x.length) throw new RangeError(`${a.rows} × ${a.cols} times a vector of ${x.length} does not fit.`)
  const result = new Float64Array(a.rows)
  for (let i = 0; i < a.rows; i++) {
    let sum = 0
    for (let j = 0; j < a.cols; j++) sum += a.data[i * a.cols + j]! * x[j]!
    result[i] = sum
  }
  return result
}

/** Every entry multiplied by a factor. */
export function scaled(m: Matrix, factor: number): Matrix {
  return { rows: m.rows, cols: m.cols, data: m.data.map((value) => value * factor) }
}

/** The number cᵀ·V·c: with V a covariance, the variance of the combination c of its quantities (JCGM 100, eq. 13). */
export function quadraticForm(v: Matrix, c: ArrayLike<number>): number {
  const vc = multiplyVector(v, c)
  let sum = 0
  for (let i = 0; i < vc.length; i++) sum += vc[i]! * c[i]!
  return sum
}

/** J·V·Jᵀ: the covariance of y = J·x when x has covariance V (JCGM 102, 6.2.1.3), symmetric to the last bit. */
export function propagate(jacobian: Matrix, v: Matrix): Matrix {
  const result = multiply(multiply(jacobian, v), transpose(jacobian))
  for (let i = 0; i < result.rows; i++)
    for (let j = 0; j < i; j++) {
      const mean = (at(result, i, j) + at(result, j, i)) / 2
      put(result, i, j, mean)
      put(result, j, i, mean)
    }
  return result
}
