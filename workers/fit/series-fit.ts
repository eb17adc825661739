import { gramOf, type MarkNoise } from './noise-model.ts'
import { fitRun, type RunFit, type RunSeries } from './run-fit.ts'

/**
 * The equivalent acceleration of runs of one ball on one mounting in one direction: each run a parabola with its own start and speed, the acceleration
 * common to all. It is a fixed linear combination of the marks whatever the motion is, so that its scatter follows from the marks' noise alone.
 */
export interface SeriesFit {
  readonly runs: readonly RunFit[]
  /** Weight of each run in the common acceleration; sums to 1. */
  readonly weights: readonly number[]
  readonly acceleration_m_s2: number
  /** Variance of each run's own acceleration from the scatter of its marks. */
  readonly variances: readonly number[]
  /** Standard deviation between runs beyond that, where it counts; else null. */
  readonly between_m_s2: number | null
  readonly random: { readonly u: number; readonly dof: number }
}

/** Condenses runs and joins them. `runsScatter`: each has its own acceleration, of which the mean is wanted. */
export function fitSeries(series: readonly RunSeries[], noise: MarkNoise, runsScatter: boolean): SeriesFit | undefined {
  const runs = condensed(series)
  if (!runs) return undefined
  const variances = runs.map((run, i) => noise.scale2 * curvatureVariance(run, series[i]!, noise.rho))
  const between = runsScatter && runs.length > 1 ? betweenRuns(runs, variances) : null
  const weights = weighted(
    between === null ? runs.map((run) => run.norms[2]) : variances.map((variance) => 1 / (variance + between ** 2)),
  )
  let variance = 0
  for (const [i, weight] of weights.entries()) variance += weight ** 2 * (variances[i]! + (between ?? 0) ** 2)
  return {
    runs,
    weights,
    acceleration_m_s2: combine(runs, weights),
    variances,
    between_m_s2: between,
    random: { u: Math.sqrt(variance), dof: between === null ? noise.dof : runs.length - 1 },
  }
}

/** The same with moved observations: weights and scatter stay, numbers follow. */
export function refitSeries(plan: SeriesFit, series: readonly RunSeries[]): SeriesFit | undefined {
  const runs = condensed(series)
  return runs && { ...plan, runs, acceleration_m_s2: combine(runs, plan.weights) }
}

function condensed(series: readonly RunSeries[]): RunFit[] | undefined {
  const runs: RunFit[] = []
  for (const one of series) {
    const run = fitRun(one)
    if (!run) return undefined
    runs.push(run)
  }
  return runs.length > 0 ? runs : undefined
}

/** For marks of unit scatter: 1/norm when white, the correlation carried along when not. */
function curvatureVariance(run: RunFit, { t_s, sigma_m }: RunSeries, rho: number): number {
  const norm = run.norms[2]
  if (rho === 0) return 1 / norm
  const root = 1 / Math.sqrt(norm)
  const q = t_s.map((t, i) => {
    const tau = t - run.middle_s
    return (root * (0.5 * tau * tau - run.lift - run.skew * tau)) / sigma_m[i]!
  })
  return gramOf([q], rho)[0]! / norm
}

function combine(runs: readonly RunFit[], weights: readonly number[]): number {
  let sum = 0
  for (const [i, run] of runs.entries()) sum += weights[i]! * run.curvature_m_s2
  return sum
}

function weighted(raw: readonly number[]): number[] {
  const total = raw.reduce((sum, w) => sum + w, 0)
  return raw.map((w) => w / total)
}

/**
 * Standard deviation between runs by the generalised moment estimate: the τ² at which Σ (aᵢ − ā)²/(uᵢ² + τ²) equals its expectation, n − 1.
 * Source: Paule & Mandel, J. Res. Natl. Bur. Stand. 87 (1982) 377–385.
 */
function betweenRuns(runs: readonly RunFit[], variances: readonly number[]): number {
  const own = runs.map((run) => run.curvature_m_s2)
  const n = runs.length
  const q = (between: number): number => {
    const w = weighted(variances.map((v) => 1 / (v + between)))
    const mean = own.reduce((sum, a, i) => sum + w[i]! * a, 0)
    return own.reduce((sum, a, i) => sum + (a - mean) ** 2 / (variances[i]! + between), 0)
  }
  if (q(0) <= n - 1) return 0
  let low = 0
  let high = variances.reduce((most, v) => Math.max(most, v), 0)
  while (q(high) > n - 1) high *= 4
  for (let step = 0; step < 60 && high - low > 1e-6 * high; step++) {
    const middle = (low + high) / 2
    if (q(middle) > n - 1) low = middle
    else high = middle
  }
  return Math.sqrt((low + high) / 2)
}
