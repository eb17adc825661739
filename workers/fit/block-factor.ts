import { factorise } from './numerics/least-squares.ts'
import type { Matrix } from './numerics/matrix.ts'

/** Columns of one run's design over its marks: first those of its own parameters, then those shared by all runs. */
export interface RunColumns {
  readonly columns: readonly Float64Array[]
  readonly own: number
}

/**
 * One run's design in the metric of its marks' uncertainties: (columns/σ) = Q·R, Q with orthonormal columns, R upper triangular row by row.
 * A column that adds nothing to those before it has a zero row and a zero Q.
 */
export interface RunFactor {
  readonly q: readonly Float64Array[]
  readonly r: Float64Array
  readonly own: number
  readonly size: number
}

/** Orthogonalises by modified Gram–Schmidt, each column twice, which is as good as Householder reflections.
 *  Source: L. Giraud, J. Langou, M. Rozložník, Comput. Math. Appl. 50 (2005) 1069–1075 ("twice is enough"). */
export function factorRun({ columns, own }: RunColumns, sigma: Float64Array): RunFactor {
  const size = columns.length
  const n = sigma.length
  const r = new Float64Array(size * size)
  const q: Float64Array[] = []
  for (let k = 0; k < size; k++) {
    const v = new Float64Array(n)
    const column = columns[k]!
    let before = 0
    for (let i = 0; i < n; i++) {
      v[i] = column[i]! / sigma[i]!
      before += v[i]! * v[i]!
    }
    for (let pass = 0; pass < 2; pass++)
      for (let j = 0; j < k; j++) {
        const other = q[j]!
        let dot = 0
        for (let i = 0; i < n; i++) dot += other[i]! * v[i]!
        if (dot === 0) continue
        r[j * size + k]! += dot
        for (let i = 0; i < n; i++) v[i]! -= dot * other[i]!
      }
    let norm = 0
    for (let i = 0; i < n; i++) norm += v[i]! * v[i]!
    if (norm > 1e-20 * before) {
      const length = Math.sqrt(norm)
      r[k * size + k] = length
      for (let i = 0; i < n; i++) v[i]! /= length
    } else v.fill(0)
    q.push(v)
  }
  return { q, r, own, size }
}

/** Runs factorised together: what refits with moved observations and all covariances need. */
export interface JointFactor {
  readonly runs: readonly RunFactor[]
  readonly shared: number
  /** (Σ R₂₂ᵀR₂₂)⁻¹ of the shared parameters. */
  readonly inverse: Matrix
  readonly solve: (right: Float64Array) => Float64Array
}

/**
 * Joins runs over their shared parameters: each run's R has its own block on top, R₂₂ below, and the R₂₂ stacked are the shared problem.
 * Undefined where the shared parameters, or a run's own, are not determined. Source: block angular least squares, Å. Björck, Numerical Methods
 * for Least Squares Problems (1996), section 6.3.
 */
export function joinRuns(runs: readonly RunFactor[]): JointFactor | undefined {
  const first = runs[0]
  if (!first) return undefined
  const shared = first.size - first.own
  for (const run of runs) for (let k = 0; k < run.own; k++) if (run.r[k * run.size + k] === 0) return undefined
  if (shared === 0)
    return { runs, shared, inverse: { rows: 0, cols: 0, data: new Float64Array(0) }, solve: () => new Float64Array(0) }
  const stacked: Matrix = {
    rows: runs.length * shared,
    cols: shared,
    data: new Float64Array(runs.length * shared * shared),
  }
  for (const [i, { r, own, size }] of runs.entries())
    for (let a = 0; a < shared; a++)
      for (let b = 0; b < shared; b++) stacked.data[(i * shared + a) * shared + b] = r[(own + a) * size + own + b]!
  const factorised = factorise(stacked, { refinementSteps: 0 })
  if (factorised.kind !== 'factorised') return undefined
  return { runs, shared, inverse: factorised.unscaledCovariance(), solve: (right) => factorised.parameters(right) }
}

/** Parameters that bring observations `y` (per run, in metres) closest: own per run, shared. */
export function solveJoint(
  joint: JointFactor,
  y: readonly Float64Array[],
  sigma: readonly Float64Array[],
): { readonly own: readonly Float64Array[]; readonly shared: Float64Array } {
  const { runs, shared: p } = joint
  const z = runs.map(({ q, size }, i) => {
    const result = new Float64Array(size)
    const [yi, si] = [y[i]!, sigma[i]!]
    const scaled = new Float64Array(yi.length)
    for (let j = 0; j < scaled.length; j++) scaled[j] = yi[j]! / si[j]!
    for (let k = 0; k < size; k++) {
      const qk = q[k]!
      let dot = 0
      for (let j = 0; j < scaled.length; j++) dot += qk[j]! * scaled[j]!
      result[k] = dot
    }
    return result
  })
  const right = new Float64Array(runs.length * p)
  for (const [i, run] of runs.entries()) right.set(z[i]!.subarray(run.own), i * p)
  const shared = joint.solve(right)
  const own = runs.map(({ r, own: count, size }, i) => {
    const x = z[i]!.slice(0, count)
    for (let a = count - 1; a >= 0; a--) {
      let sum = x[a]!
      for (let b = a + 1; b < count; b++) sum -= r[a * size + b]! * x[b]!
      for (let b = 0; b < p; b++) sum -= r[a * size + count + b]! * shared[b]!
      x[a] = sum / r[a * size + a]!
    }
    return x
  })
  return { own, shared }
}

/** Gradient of a quantity with respect to a run's own parameters and to the shared ones, for the runs it depends on directly. */
export interface Gradient {
  readonly own: readonly (Float64Array | null)[]
  readonly shared: Float64Array
}

/**
 * The same gradient with respect to the coefficients z = Qᵀ(y/σ) of every run, in which marks' noise is unit and, if white, independent.
 */
export function markGradient(joint: JointFactor, gradient: Gradient): Float64Array[] {
  const { runs, shared: p, inverse } = joint
  const total = gradient.shared.slice()
  const result = runs.map(({ r, own, size }, i) => {
    const gamma = new Float64Array(size)
    const g = gradient.own[i]
    if (!g) return gamma
    // γ = R₁₁⁻ᵀ g; what the own parameters owe to the shared ones goes to their gradient.
    for (let a = 0; a < own; a++) {
      let sum = g[a]!
      for (let b = 0; b < a; b++) sum -= r[b * size + a]! * gamma[b]!
      gamma[a] = sum / r[a * size + a]!
    }
    for (let b = 0; b < p; b++) for (let a = 0; a < own; a++) total[b]! -= r[a * size + own + b]! * gamma[a]!
    return gamma
  })
  const through = new Float64Array(p)
  for (let a = 0; a < p; a++) for (let b = 0; b < p; b++) through[a]! += inverse.data[a * p + b]! * total[b]!
  for (const [i, { r, own, size }] of runs.entries())
    for (let a = 0; a < p; a++) {
      let sum = 0
      for (let b = a; b < p; b++) sum += r[(own + a) * size + own + b]! * through[b]!
      result[i]![own + a] = sum
    }
  return result
}
