import type { Matrix } from './matrix.ts'

/** Householder QR of a tall matrix with column exchange, in place: A·P = Q·R.
 *
 *  `work` holds R on and above the diagonal and the reflectors below it; `order[k]` is the original number of the
 *  column that stands at place k; `taus` scale the reflectors. `rank` counts the diagonal entries of R that are not
 *  negligible beside the first.
 *  Source: Businger & Golub, Numerische Mathematik 7 (1965) 269–276. */
export interface HouseholderQr {
  readonly work: Matrix
  readonly taus: Float64Array
  readonly order: Int32Array
  readonly rank: number
}

/** Factorises `work` (rows ≥ cols, finite) and overwrites it. */
export function householderQr(work: Matrix, rankTolerance: number): HouseholderQr {
  const { rows, cols, data } = work
  const taus = new Float64Array(cols)
  const order = Int32Array.from({ length: cols }, (_, j) => j)
  const norms = new Float64Array(cols)
  const reference = new Float64Array(cols)
  const dots = new Float64Array(cols)
  for (let j = 0; j < cols; j++) reference[j] = norms[j] = columnNorm(work, j, 0)
  let rank = 0
  let largest = 0
  for (let k = 0; k < cols; k++) {
    let pivot = k
    for (let j = k + 1; j < cols; j++) if (norms[j]! > norms[pivot]!) pivot = j
    if (pivot !== k) {
      swapColumns(work, k, pivot)
      swap(order, k, pivot)
      swap(norms, k, pivot)
      swap(reference, k, pivot)
    }
    const norm = columnNorm(work, k, k)
    largest = Math.max(largest, norm)
    if (norm > rankTolerance * largest) rank++
    if (norm === 0) continue
    const head = data[k * cols + k]!
    const diagonal = head > 0 ? -norm : norm
    // The reflector is scaled to a first entry of 1, kept implicitly; the place of that entry then holds R.
    const first = head - diagonal
    for (let i = k + 1; i < rows; i++) data[i * cols + k]! /= first
    const tau = -first / diagonal
    taus[k] = tau
    data[k * cols + k] = diagonal
    reflectRemaining(work, k, tau, dots)
    for (let j = k + 1; j < cols; j++) {
      if (norms[j] === 0) continue
      const share = data[k * cols + j]! / norms[j]!
      const left = Math.max(0, 1 - share * share)
      const drift = norms[j]! / reference[j]!
      // Down-dating loses digits by cancellation; the norm is taken anew before that shows.
      if (left * drift * drift <= 1e-8) reference[j] = norms[j] = columnNorm(work, j, k + 1)
      else norms[j]! *= Math.sqrt(left)
    }
  }
  return { work, taus, order, rank }
}

/** Replaces v by Qᵀ·v. */
export function applyTransposedQ({ work, taus }: HouseholderQr, v: Float64Array): void {
  for (let k = 0; k < work.cols; k++) applyReflector(work, k, taus[k]!, v)
}

/** Replaces v by Q·v. */
export function applyQ({ work, taus }: HouseholderQr, v: Float64Array): void {
  for (let k = work.cols - 1; k >= 0; k--) applyReflector(work, k, taus[k]!, v)
}

/** Solves R·x = v for the leading triangle; the first `cols` entries of v are replaced by x. */
export function solveTriangle({ work: { cols, data } }: HouseholderQr, v: Float64Array): void {
  for (let i = cols - 1; i >= 0; i--) {
    let sum = v[i]!
    for (let j = i + 1; j < cols; j++) sum -= data[i * cols + j]! * v[j]!
    v[i] = sum / data[i * cols + i]!
  }
}

/** Solves Rᵀ·x = v for the leading triangle; the first `cols` entries of v are replaced by x. */
export function solveTransposedTriangle({ work: { cols, data } }: HouseholderQr, v: Float64Array): void {
  for (let i = 0; i < cols; i++) {
    const x = (v[i]! /= data[i * cols + i]!)
    for (let j = i + 1; j < cols; j++) v[j]! -= data[i * cols + j]! * x
  }
}

function reflectRemaining({ rows, cols, data }: Matrix, k: number, tau: number, dots: Float64Array): void {
  for (let j = k + 1; j < cols; j++) dots[j] = data[k * cols + j]!
  for (let i = k + 1; i < rows; i++) {
    const base = i * cols
    const v = data[base + k]!
    if (v === 0) continue
    for (let j = k + 1; j < cols; j++) dots[j]! += v * data[base + j]!
  }
  for (let j = k + 1; j < cols; j++) {
    dots[j]! *= tau
    data[k * cols + j]! -= dots[j]!
  }
  for (let i = k + 1; i < rows; i++) {
    const base = i * cols
    const v = data[base + k]!
    if (v === 0) continue
    for (let j = k + 1; j < cols; j++) data[base + j]! -= v * dots[j]!
  }
}

function applyReflector({ rows, cols, data }: Matrix, k: number, tau: number, v: Float64Array): void {
  if (tau === 0) return
  let dot = v[k]!
  for (let i = k + 1; i < rows; i++) dot += data[i * cols + k]! * v[i]!
  dot *= tau
  v[k]! -= dot
  for (let i = k + 1; i < rows; i++) v[i]! -= dot * data[i * cols + k]!
}

function columnNorm({ rows, cols, data }: Matrix, j: number, from: number): number {
  let largest = 0
  for (let i = from; i < rows; i++) largest = Math.max(largest, Math.abs(data[i * cols + j]!))
  if (largest === 0) return 0
  let sum = 0
  for (let i = from; i < rows; i++) sum += (data[i * cols + j]! / largest) ** 2
  return largest * Math.sqrt(sum)
}

function swapColumns({ rows, cols, data }: Matrix, a: number, b: number): void {
  for (let i = 0; i < rows; i++) {
    const keep = data[i * cols + a]!
    data[i * cols + a] = data[i * cols + b]!
    data[i * cols + b] = keep
  }
}

function swap(list: Float64Array | Int32Array, a: number, b: number): void {
  const keep = list[a]!
  list[a] = list[b]!
  list[b] = keep
}
