import type { Estimate } from '../record/index.ts'
import { estimateOf, type SourceBook } from './estimates.ts'
import type { SeriesNumbers, SeriesPlan } from './evaluate.ts'
import { resistanceOneWay } from './resistance.ts'
import type { RunResult, SeriesResult, SpeedResult, Stretch } from './results.ts'
import { standardisedResiduals } from './run-fit.ts'
import { randomOfAcceleration } from './series-fit.ts'
import { speedAlong, speedCurveOf, speedOf, transitAlong, type Moved, type SpeedCurve } from './speed-curve.ts'

/** A series under no deviation and under each source moved by plus and minus one standard uncertainty. */
export interface SeriesEvaluation {
  readonly plan: SeriesPlan
  readonly base: SeriesNumbers
  readonly moved: ReadonlyMap<string, Moved<SeriesNumbers>>
}

/** A quantity of a series with the effects of all sources: the pure function of the numbers is told, everything else follows. */
export function quantityOf(
  book: SourceBook,
  evaluation: SeriesEvaluation,
  unit: string,
  quantity: (numbers: SeriesNumbers) => number | null,
  random: { readonly u: number; readonly dof: number },
): Estimate | null {
  const value = quantity(evaluation.base)
  if (value === null || !Number.isFinite(value)) return null
  return estimateOf(book, unit, value, effectsOf(evaluation.moved, value, quantity), random)
}

/** Effects by central difference; one-sided where the other side has no value. */
export function effectsOf<T>(
  moved: ReadonlyMap<string, Moved<T>>,
  value: number,
  quantity: (numbers: T) => number | null,
): Map<string, number> {
  const effects = new Map<string, number>()
  for (const [id, { plus, minus }] of moved) {
    const [up, down] = [quantity(plus), quantity(minus)]
    if (up !== null && down !== null) effects.set(id, (up - down) / 2)
    else if (up !== null) effects.set(id, up - value)
    else if (down !== null) effects.set(id, value - down)
  }
  return effects
}

const exact = { u: 0, dof: Infinity } as const

/** All results of a series between the ends of the stretch. */
export function seriesResult(
  book: SourceBook,
  evaluation: SeriesEvaluation,
  stretch: Stretch | undefined,
): SeriesResult {
  const { plan, base, moved } = evaluation
  const { travel, fit } = plan
  const motions = new Map([...moved].map(([id, { plus, minus }]) => [id, { plus: plus.motions, minus: minus.motions }]))
  const speeds = speedCurveOf(fit, motions, plan.covered_m)
  const random = randomOfAcceleration(fit)
  const acceleration = quantityOf(book, evaluation, 'm/s2', (n) => travel * n.acceleration_m_s2, random)
  if (!acceleration) throw new Error('a fitted series has no acceleration')
  const places =
    stretch && (travel > 0 ? ([stretch.from_m, stretch.to_m] as const) : ([stretch.to_m, stretch.from_m] as const))
  const perCurvature = resistancePerAcceleration(base)
  const runs = plan.runs.map((_, i) => runResult(book, evaluation, speeds, i, places))
  const entry = places ? speedResult(book, speeds, places[0]) : null
  const exit = places ? speedResult(book, speeds, places[1]) : null
  return {
    mountingId: plan.mountingId,
    ballId: plan.ballId,
    direction: plan.level ? 'level' : travel > 0 ? 'down' : 'up',
    travel,
    runs,
    entry,
    exit,
    acceleration,
    transit: (places && transitAlong(book, speeds, ...places)) ?? null,
    slows: acceleration.value + acceleration.U < 0 ? stall(acceleration.value, travel, exit, places) : null,
    crr:
      perCurvature === null
        ? null
        : quantityOf(book, evaluation, '1', (n) => resistanceOneWay(n, travel), {
            u: random.u * perCurvature,
            dof: random.dof,
          }),
    slope: quantityOf(book, evaluation, 'rad', (n) => n.slope_rad, exact),
    rollingRadius: quantityOf(book, evaluation, 'm', (n) => n.rollingRadius_m, exact),
    inertiaFactor: quantityOf(book, evaluation, '1', (n) => n.inertiaFactor, exact),
    marks: { ratio: fit.noise.residualRatio, correlation: fit.noise.rho },
    betweenRuns: fit.scatter && { sd_m_s2: fit.scatter.between_m_s2, p: fit.scatter.p, counted: fit.runsScatter },
    speeds,
    speedRange_m_s: speedRange(evaluation),
  }
}

/** |∂c/∂a| = k/(g cos θ); null without slope or guide. */
export function resistancePerAcceleration(n: SeriesNumbers): number | null {
  return n.inertiaFactor === null ? null : n.inertiaFactor / (n.g_m_s2 * Math.cos(n.slope_rad ?? 0))
}

function speedResult(book: SourceBook, speeds: SpeedCurve, at_m: number): SpeedResult | null {
  const filmed = speedAlong(book, speeds, at_m)
  if (!filmed) return null
  const n = speeds.motions.length
  const each = speeds.motions.map((motion) => speedOf(motion, at_m) ?? filmed.value)
  if (n < 2) return { at_m, filmed, typical: null, scatter_m_s: null }
  const scatter = Math.sqrt(each.reduce((sum, v) => sum + (v - filmed.value) ** 2, 0) / (n - 1))
  // Scatter between runs holds the marks' noise already: the greater of the two counts, not both.
  const between = { u: scatter / Math.sqrt(n), dof: n - 1 }
  const random = between.u > filmed.random.u ? between : filmed.random
  return { at_m, filmed, typical: estimateOf(book, 'm/s', filmed.value, filmed.effects, random), scatter_m_s: scatter }
}

function runResult(
  book: SourceBook,
  evaluation: SeriesEvaluation,
  speeds: SpeedCurve,
  i: number,
  places: readonly [number, number] | undefined,
): RunResult {
  const { plan } = evaluation
  const run = plan.runs[i]!
  const summary = plan.fit.runs[i]!
  const standardised = standardisedResiduals(summary, run.series, plan.fit.perRun_m_s2[i]!)
  const noise = plan.fit.noise
  const acceleration = estimateOf(
    book,
    'm/s2',
    plan.travel * summary.curvature_m_s2,
    effectsOf(evaluation.moved, plan.travel * summary.curvature_m_s2, (n) => plan.travel * n.ownAccelerations_m_s2[i]!),
    { u: Math.sqrt(noise.scale2 * noise.covariances[i]![8]), dof: noise.dof },
  )
  const spread = Math.sqrt(noise.scale2)
  const outliers = [...standardised.keys()]
    .map((k) => ({ mark: run.mark[k]!, times_sigma: standardised[k]! / spread }))
    .filter(({ times_sigma }) => Math.abs(times_sigma) > outlierFrom)
  return {
    runId: run.runId,
    marks: summary.count,
    resting: run.resting,
    entry: (places && speedAlong(book, speeds, places[0], [i])) ?? null,
    exit: (places && speedAlong(book, speeds, places[1], [i])) ?? null,
    acceleration,
    transit: (places && transitAlong(book, speeds, ...places, [i])) ?? null,
    residuals: {
      t_s: [...run.series.t_s],
      s_m: [...run.series.s_m],
      residual_m: [...standardised].map((r, k) => r * run.series.sigma_m[k]!),
      sigma_m: [...run.series.sigma_m],
      mark: run.mark,
    },
    outliers,
  }
}

/** Among 1000 normal marks one lies beyond 3.3σ; beyond 4.5σ one in 150 000. */
const outlierFrom = 4.5

function stall(
  acceleration_m_s2: number,
  travel: 1 | -1,
  exit: SpeedResult | null,
  places: readonly [number, number] | undefined,
): SeriesResult['slows'] {
  if (!exit || !places) return null
  const beyondExit_m = exit.filmed.value ** 2 / (2 * Math.abs(acceleration_m_s2))
  return { stallsAt_m: places[1] + travel * beyondExit_m, beyondExit_m }
}

function speedRange({ plan, base }: SeriesEvaluation): [number, number] {
  let [low, high] = [Infinity, 0]
  for (const [i, run] of plan.runs.entries())
    for (const s of [run.series.s_m[0]!, run.series.s_m[run.series.s_m.length - 1]!]) {
      const v = speedOf(base.motions[i]!, s) ?? 0
      low = Math.min(low, v)
      high = Math.max(high, v)
    }
  return [low, high]
}
