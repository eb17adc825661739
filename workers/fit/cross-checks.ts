import * as maths from '../elementary/maths.ts'
import { resistanceOfEnergy } from '../physics/estimators.ts'
import type { Estimate } from '../record/index.ts'
import type { SourceBook } from './estimates.ts'
import type { SeriesNumbers } from './evaluate.ts'
import { gatesOf, gateUncertainty } from './gates.ts'
import { meanOf, quantityOf, resistancePerAcceleration, type RandomPart, type SeriesEvaluation } from './quantity.ts'
import { resistanceOneWay } from './resistance.ts'
import type { CrossCheck, SeriesResult } from './results.ts'
import { restingMarks } from './usable-run.ts'

/** Simpler ways to the resistance that the runs of a series allow. */
export function crossChecks(
  book: SourceBook,
  evaluation: SeriesEvaluation,
  result: SeriesResult,
  series: number,
): CrossCheck[] {
  const checks: CrossCheck[] = []
  const add = (kind: CrossCheck['kind'], crr: Estimate | null) => {
    if (crr) checks.push({ kind, series, runs: evaluation.plan.runs.length, crr })
  }
  add('release-and-exit', releaseAndExit(book, evaluation, result))
  add('gates', byGates(book, evaluation))
  return checks
}

/** Energy from where the ball lay to the exit: c = (h − k·v²/2g)/X. Needs every run to have been seen at rest before its release. */
function releaseAndExit(book: SourceBook, evaluation: SeriesEvaluation, result: SeriesResult): Estimate | null {
  const { plan, base, places } = evaluation
  const exit_m = places.exit_m
  if (plan.travel !== 1 || exit_m === null || plan.runs.some(({ rest_m }) => rest_m === null)) return null
  const ofRun = (n: SeriesNumbers, i: number): number | null => {
    const [v, rest] = [n.exit_m_s[i] ?? null, n.rest_m[i] ?? null]
    if (v === null || rest === null || n.slope_rad === null || n.inertiaFactor === null) return null
    const way = exit_m - rest
    return resistanceOfEnergy(way * maths.sin(n.slope_rad), way * maths.cos(n.slope_rad), n.inertiaFactor, v, n.g_m_s2)
  }
  const variances = plan.runs.map((run, i) => {
    const exit = result.runs[i]!.exit
    const [v, rest] = [base.exit_m_s[i] ?? null, run.rest_m]
    if (!exit || v === null || rest === null || base.inertiaFactor === null || base.slope_rad === null) return null
    const bySpeed = (base.inertiaFactor * v) / (base.g_m_s2 * (exit_m - rest))
    const byRest = (base.inertiaFactor * v * v) / (2 * base.g_m_s2 * (exit_m - rest) ** 2)
    const restNoise = run.series.sigma_m[0]! / Math.sqrt(restingMarks(run))
    return (bySpeed * exit.random.u) ** 2 + (byRest * restNoise) ** 2
  })
  const random = ofMean(
    plan.runs.map((_, i) => ofRun(base, i)),
    variances,
    plan.model.noise.dof,
  )
  return random && quantityOf(book, evaluation, '1', (n) => meanOf(plan.runs.map((_, i) => ofRun(n, i))), random)
}

/** The acceleration from the times at three places, as light barriers would give it. */
function byGates(book: SourceBook, evaluation: SeriesEvaluation): Estimate | null {
  const { plan, base, places } = evaluation
  const gates = gatesOf(places)
  const perAcceleration = resistancePerAcceleration(base)
  if (!gates || perAcceleration === null) return null
  const spread = Math.sqrt(plan.model.noise.scale2)
  const variances = plan.runs.map(({ series }) => {
    const u = gateUncertainty(series, gates)
    return u === undefined ? null : (u * spread) ** 2
  })
  const random = ofMean(base.gates_m_s2, variances, plan.model.noise.dof)
  if (!random) return null
  return quantityOf(
    book,
    evaluation,
    '1',
    (n) => {
      const acceleration_m_s2 = meanOf(n.gates_m_s2)
      return acceleration_m_s2 === null ? null : resistanceOneWay({ ...n, acceleration_m_s2 }, plan.travel)
    },
    { u: random.u * perAcceleration, dof: random.dof },
  )
}

/** Random part of a mean over runs: their marks, or their spread where that is greater. */
function ofMean(
  values: readonly (number | null)[],
  variances: readonly (number | null)[],
  dof: number,
): RandomPart | null {
  const n = values.length
  const mean = meanOf(values)
  const variance = meanOf(variances)
  if (mean === null || variance === null) return null
  const marks = { u: Math.sqrt(variance / n), dof }
  if (n < 2) return marks
  const spread = Math.sqrt(values.reduce<number>((sum, value) => sum + (value! - mean) ** 2, 0) / (n - 1) / n)
  return spread > marks.u ? { u: spread, dof: n - 1 } : marks
}
