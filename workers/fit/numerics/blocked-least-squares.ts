import { applyTransposedQ, householderQr, solveTriangle } from './householder.ts'
import { factorise, type LeastSquaresFailure } from './least-squares.ts'
import { matrixOf, multiply, transpose, zeros, type Matrix } from './matrix.ts'

/** The observations of one run: columns for the run's own parameters and for those shared by all runs. */
export interface Block {
  readonly own: Matrix
  readonly shared: Matrix
  readonly observations: ArrayLike<number>
  /** 1/σ² of each observation; all 1 by default. */
  readonly weights?: ArrayLike<number>
}

/** A joint fit of all blocks. Covariances are for observations of variance 1/weight; multiply by the residual variance
 *  where that is not known. */
export interface BlockedFit {
  readonly kind: 'fitted'
  readonly shared: Float64Array
  readonly sharedCovariance: Matrix
  /** Parameters of block i alone. */
  readonly own: readonly Float64Array[]
  readonly rss: number
  readonly dof: number
  /** Covariance of block i's own parameters followed by the shared ones. */
  covarianceWithShared(block: number): Matrix
}

export type BlockedFailure =
  { readonly kind: 'block-failed'; readonly block: number; readonly failure: LeastSquaresFailure } | LeastSquaresFailure

/** Least squares where each run has parameters of its own beside the shared ones (own start and speed, shared resistance).
 *
 *  Each block is reduced by QR to what it says of the shared parameters; time grows with the number of runs, not with its
 *  cube, and the result is that of the one large problem.
 *  Source: block angular least squares, Å. Björck, Numerical Methods for Least Squares Problems (1996), section 6.3. */
export function blockedLeastSquares(blocks: readonly Block[]): BlockedFit | BlockedFailure {
  const sharedCount = blocks[0]?.shared.cols ?? 0
  const reduced: Reduced[] = []
  for (const [index, block] of blocks.entries()) {
    if (block.shared.cols !== sharedCount)
      throw new RangeError(`Block ${index} has ${block.shared.cols} shared columns, block 0 has ${sharedCount}.`)
    const outcome = reduceBlock(block)
    if (outcome.kind !== 'reduced') return { kind: 'block-failed', block: index, failure: outcome }
    reduced.push(outcome)
  }
  const rows = reduced.reduce((sum, { rest }) => sum + rest.rows, 0)
  const stacked = zeros(rows, sharedCount)
  const right = new Float64Array(rows)
  let filled = 0
  for (const { rest, restRight } of reduced) {
    stacked.data.set(rest.data, filled * sharedCount)
    right.set(restRight, filled)
    filled += rest.rows
  }
  const factorised = factorise(stacked)
  if (factorised.kind !== 'factorised') return factorised
  const fit = factorised.fit(right)
  if (fit.kind !== 'fitted') return fit
  const shared = fit.parameters
  const observationCount = blocks.reduce((sum, block) => sum + countUsed(block), 0)
  const ownCount = reduced.reduce((sum, { gain }) => sum + gain.rows, 0)
  return {
    kind: 'fitted',
    shared,
    sharedCovariance: fit.unscaledCovariance,
    own: reduced.map(({ ownAlone, gain }) =>
      ownAlone.map((value, i) => {
        let sum = value
        for (let j = 0; j < sharedCount; j++) sum += gain.data[i * sharedCount + j]! * shared[j]!
        return sum
      }),
    ),
    rss: fit.rss + reduced.reduce((sum, { leftOver }) => sum + leftOver, 0),
    dof: observationCount - ownCount - sharedCount,
    covarianceWithShared(block) {
      const found = reduced[block]
      if (found === undefined) throw new RangeError(`There is no block ${block} among ${reduced.length}.`)
      return jointCovariance(found, fit.unscaledCovariance)
    },
  }
}

interface Reduced {
  readonly kind: 'reduced'
  /** What is left for the shared parameters, and its right-hand side. */
  readonly rest: Matrix
  readonly restRight: Float64Array
  /** Squares that no parameter can explain. */
  readonly leftOver: number
  /** Own parameters if the shared ones were 0, how they change with the shared ones, and their covariance given these. */
  readonly ownAlone: Float64Array
  readonly gain: Matrix
  readonly conditional: Matrix
}

function reduceBlock({ own, shared, observations, weights }: Block): Reduced | LeastSquaresFailure {
  const rows = own.rows
  if (shared.rows !== rows || observations.length !== rows)
    throw new RangeError(
      `A block of ${rows} rows has ${shared.rows} shared rows and ${observations.length} observations.`,
    )
  const ownFactors = factorise(own, weights === undefined ? {} : { weights })
  if (ownFactors.kind !== 'factorised') return ownFactors
  const q = own.cols
  const p = shared.cols
  const roots = Float64Array.from({ length: rows }, (_, i) => Math.sqrt(weights?.[i] ?? 1))
  const entry = (i: number, j: number): number => (j < q ? own.data[i * q + j]! : shared.data[i * p + j - q]!)
  const work = matrixOf(rows, q + p, (i, j) => (roots[i] === 0 ? 0 : roots[i]! * entry(i, j)))
  for (let i = 0; i < rows; i++) {
    if (roots[i] === 0) continue
    if (!Number.isFinite(observations[i])) return { kind: 'not-finite', where: 'observations', row: i }
    for (let j = q; j < q + p; j++)
      if (!Number.isFinite(work.data[i * (q + p) + j])) return { kind: 'not-finite', where: 'design', row: i }
  }
  const z = roots.map((root, i) => (root === 0 ? 0 : root * observations[i]!))
  const left = matrixOf(rows, q, (i, j) => work.data[i * (q + p) + j]!)
  const qr = householderQr(left, 0)
  applyTransposedQ(qr, z)
  const columns = Array.from({ length: p }, (_, j) => {
    const column = Float64Array.from({ length: rows }, (_, i) => work.data[i * (q + p) + q + j]!)
    applyTransposedQ(qr, column)
    return column
  })
  // The remaining rows are condensed once more, so that no more than p of them are carried on.
  const below = matrixOf(rows - q, p, (i, j) => columns[j]![q + i]!)
  const zBelow = z.slice(q)
  const kept = Math.min(rows - q, p)
  let leftOver = 0
  let rest = below
  if (rows - q > p) {
    const condensed = householderQr(below, 0)
    applyTransposedQ(condensed, zBelow)
    for (let i = p; i < zBelow.length; i++) leftOver += zBelow[i]! ** 2
    rest = zeros(p, p)
    for (let i = 0; i < p; i++)
      for (let j = i; j < p; j++) rest.data[i * p + condensed.order[j]!] = condensed.work.data[i * p + j]!
  }
  const backSolve = (v: Float64Array): Float64Array => {
    const solved = v.slice(0, q)
    solveTriangle(qr, solved)
    const result = new Float64Array(q)
    qr.order.forEach((original, k) => (result[original] = solved[k]!))
    return result
  }
  const gains = columns.map((column) => backSolve(column))
  return {
    kind: 'reduced',
    rest,
    restRight: zBelow.slice(0, kept),
    leftOver,
    ownAlone: backSolve(z),
    gain: matrixOf(q, p, (i, j) => -gains[j]![i]!),
    conditional: ownFactors.unscaledCovariance(),
  }
}

function jointCovariance({ gain, conditional }: Reduced, shared: Matrix): Matrix {
  const q = gain.rows
  const p = gain.cols
  const cross = multiply(gain, shared)
  const own = multiply(cross, transpose(gain))
  return matrixOf(q + p, q + p, (i, j) => {
    if (i < q && j < q) return conditional.data[i * q + j]! + (own.data[i * q + j]! + own.data[j * q + i]!) / 2
    if (i >= q && j >= q) return shared.data[(i - q) * p + j - q]!
    return i < q ? cross.data[i * p + j - q]! : cross.data[j * p + i - q]!
  })
}

function countUsed({ observations, weights }: Block): number {
  if (weights === undefined) return observations.length
  let used = 0
  for (let i = 0; i < weights.length; i++) if (weights[i] !== 0) used++
  return used
}
