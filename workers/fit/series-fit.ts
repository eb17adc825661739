import { fUpperTail } from './numerics/f-distribution.ts'
import { markNoise, type MarkNoise } from './mark-noise.ts'
import { fitRun, standardisedResiduals, type RunFit, type RunSeries } from './run-fit.ts'

/** How runs of one series differ in their acceleration beyond what their marks explain. */
export interface Scatter {
  /** Standard deviation between runs [m/s²], the marks' share taken out. */
  readonly between_m_s2: number
  /** Probability of such differences were there none. */
  readonly p: number
}

/**
 * Runs of one ball on one mounting in one direction, fitted together: each has its own start and speed, the acceleration is common.
 * Where runs scatter more than their marks explain, each keeps its own acceleration and the common one is their mean.
 */
export interface SeriesFit {
  readonly runs: readonly RunFit[]
  /** Weight of each run in the common acceleration; sums to 1. */
  readonly weights: readonly number[]
  readonly acceleration_m_s2: number
  /** The acceleration that describes each run: the common one, or its own where runs scatter. */
  readonly perRun_m_s2: readonly number[]
  readonly noise: MarkNoise
  readonly scatter: Scatter | null
  /** True where the runs' own accelerations are used. */
  readonly runsScatter: boolean
}

/** Runs differ beyond their marks when chance would do so in less than this share of series. */
const scatterLevel = 0.1

/** Fits a series. Undefined where one of the runs cannot carry a quadratic, or there are none. */
export function fitSeries(series: readonly RunSeries[]): SeriesFit | undefined {
  const runs: RunFit[] = []
  for (const one of series) {
    const run = fitRun(one)
    if (!run) return undefined
    runs.push(run)
  }
  if (runs.length === 0) return undefined
  const common = weighted(runs.map((run) => run.norms[2]))
  const shared = combine(runs, common)
  const own = runs.map((run) => run.curvature_m_s2)
  const ownNoise = markNoise(runs, series, residualsOf(runs, series, own), 3 * runs.length)
  const scatter = runs.length > 1 ? scatterOf(runs, ownNoise) : null
  const runsScatter = scatter !== null && scatter.p < scatterLevel
  if (scatter !== null && runsScatter) {
    const between = scatter.between_m_s2 ** 2
    const weights = weighted(runs.map((_, i) => 1 / (between + ownNoise.scale2 * ownNoise.covariances[i]![8])))
    return {
      runs,
      weights,
      acceleration_m_s2: combine(runs, weights),
      perRun_m_s2: own,
      noise: ownNoise,
      scatter,
      runsScatter,
    }
  }
  const perRun = runs.map(() => shared)
  const noise = markNoise(runs, series, residualsOf(runs, series, perRun), 2 * runs.length + 1)
  return { runs, weights: common, acceleration_m_s2: shared, perRun_m_s2: perRun, noise, scatter, runsScatter }
}

/** The same series with its observations moved (a source deviates): decisions and weights stay, numbers follow. */
export function refitSeries(plan: SeriesFit, series: readonly RunSeries[]): SeriesFit | undefined {
  const runs: RunFit[] = []
  for (const one of series) {
    const run = fitRun(one)
    if (!run) return undefined
    runs.push(run)
  }
  const acceleration = combine(runs, plan.weights)
  return {
    ...plan,
    runs,
    acceleration_m_s2: acceleration,
    perRun_m_s2: plan.runsScatter ? runs.map((run) => run.curvature_m_s2) : runs.map(() => acceleration),
  }
}

/** Random standard uncertainty of the common acceleration with its degrees of freedom: marks, or runs where they scatter. */
export function randomOfAcceleration(fit: SeriesFit): { readonly u: number; readonly dof: number } {
  let marks = 0
  for (const [i, weight] of fit.weights.entries())
    marks += weight * weight * fit.noise.scale2 * fit.noise.covariances[i]![8]
  if (!fit.runsScatter || fit.scatter === null) return { u: Math.sqrt(marks), dof: fit.noise.dof }
  let between = 0
  for (const weight of fit.weights) between += weight * weight * fit.scatter.between_m_s2 ** 2
  return { u: Math.sqrt(marks + between), dof: fit.runs.length - 1 }
}

function residualsOf(runs: readonly RunFit[], series: readonly RunSeries[], a: readonly number[]): Float64Array[] {
  return runs.map((run, i) => standardisedResiduals(run, series[i]!, a[i]!))
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
 * Between-run variance by the generalised moment estimate: the τ² at which Σ (aᵢ − ā)²/(uᵢ² + τ²) equals its expectation, n − 1.
 * Source: Paule & Mandel, J. Res. Natl. Bur. Stand. 87 (1982) 377–385.
 */
function scatterOf(runs: readonly RunFit[], noise: MarkNoise): Scatter {
  const own = runs.map((run) => run.curvature_m_s2)
  const variances = runs.map((_, i) => noise.scale2 * noise.covariances[i]![8])
  const n = runs.length
  const q = (between: number): number => {
    const w = weighted(variances.map((v) => 1 / (v + between)))
    const mean = own.reduce((sum, a, i) => sum + w[i]! * a, 0)
    return own.reduce((sum, a, i) => sum + (a - mean) ** 2 / (variances[i]! + between), 0)
  }
  const q0 = q(0)
  const p = fUpperTail(q0 / (n - 1), n - 1, noise.dof)
  if (q0 <= n - 1) return { between_m_s2: 0, p }
  let low = 0
  let high = variances.reduce((most, v) => Math.max(most, v), 0)
  while (q(high) > n - 1) high *= 4
  for (let step = 0; step < 60 && high - low > 1e-6 * high; step++) {
    const middle = (low + high) / 2
    if (q(middle) > n - 1) low = middle
    else high = middle
  }
  return { between_m_s2: Math.sqrt((low + high) / 2), p }
}
