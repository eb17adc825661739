import type { Estimate } from '../record/index.ts'
import { estimateOf, type SourceBook } from './estimates.ts'
import type { SeriesNumbers } from './evaluate.ts'
import { localResistance } from './local-resistance.ts'
import { ModelDoubt } from './model-doubt.ts'
import { modelResult } from './model-result.ts'
import { MarkScatter, speedWithDerivatives, transitWithDerivatives, type Derivatives } from './motion-reading.ts'
import { residualsOf, speedAtPlace } from './motion-fit.ts'
import { meanOf, quantityOf, resistancePerAcceleration, type RandomPart, type SeriesEvaluation } from './quantity.ts'
import { resistanceOneWay } from './resistance.ts'
import type { RunResult, SeriesResult, SpeedResult } from './results.ts'
import { speedRange } from './candidates.ts'
import type { Motion, SpeedCurve } from './speed-curve.ts'

const exact: RandomPart = { u: 0, dof: Infinity }

/** All results of a series between its places of entry and exit. */
export function seriesResult(book: SourceBook, evaluation: SeriesEvaluation): SeriesResult {
  const { plan, places, base, moved } = evaluation
  const { travel, fit, model } = plan
  const scatter = new MarkScatter(model.fit, model.noise)
  const doubt = new ModelDoubt(evaluation)
  const acceleration = quantityOf(book, evaluation, 'm/s2', (n) => travel * n.acceleration_m_s2, fit.random)
  if (!acceleration) throw new Error('a fitted series has no acceleration')
  const perAcceleration = resistancePerAcceleration(base)
  const entry = speedResult(book, evaluation, scatter, doubt, 'entry_m_s', places.entry_m)
  const exit = speedResult(book, evaluation, scatter, doubt, 'exit_m_s', places.exit_m)
  return {
    mountingId: plan.mountingId,
    ballId: plan.ballId,
    direction: plan.level ? 'level' : travel > 0 ? 'down' : 'up',
    travel,
    runs: runResults(book, evaluation, scatter, doubt),
    entry,
    exit,
    acceleration,
    transit: meanTransit(book, evaluation, scatter, doubt),
    slows: acceleration.value + acceleration.U < 0 ? stall(acceleration.value, travel, exit) : null,
    crr:
      perAcceleration === null
        ? null
        : quantityOf(book, evaluation, '1', (n) => resistanceOneWay(n, travel), {
            u: fit.random.u * perAcceleration,
            dof: fit.random.dof,
          }),
    slope: quantityOf(book, evaluation, 'rad', (n) => n.slope_rad, exact),
    rollingRadius: quantityOf(book, evaluation, 'm', (n) => n.rollingRadius_m, exact),
    inertiaFactor: quantityOf(book, evaluation, '1', (n) => n.inertiaFactor, exact),
    marks: { ratio: model.noise.residualRatio, correlation: model.noise.rho },
    betweenRuns: model.scatter && {
      sd_m_s2: fit.between_m_s2 ?? 0,
      p: model.scatter.p,
      counted: model.scatter.counted,
    },
    model: modelResult(book, evaluation, scatter, doubt),
    local: localResistance(book, plan, base, moved),
    speeds: speedCurve(evaluation, scatter, doubt),
    speedRange_m_s: speedRange(model.fit),
  }
}

function speedResult(
  book: SourceBook,
  evaluation: SeriesEvaluation,
  scatter: MarkScatter,
  doubt: ModelDoubt,
  which: 'entry_m_s' | 'exit_m_s',
  at_m: number | null,
): SpeedResult | null {
  if (at_m === null) return null
  const { plan, base } = evaluation
  const derivatives = plan.runs.map((_, i) => speedWithDerivatives(plan.model.fit, i, at_m)?.derivatives ?? null)
  if (derivatives.includes(null)) return null
  const marks = { u: scatter.ofMean(derivatives), dof: scatter.noise.dof }
  const mean = (n: Pick<SeriesNumbers, typeof which>) => meanOf(n[which])
  const filmed = quantityOf(book, evaluation, 'm/s', mean, doubt.widened(marks, mean))
  if (!filmed) return null
  const n = plan.runs.length
  if (n < 2) return { at_m, filmed, typical: null, scatter_m_s: null }
  const spread = Math.sqrt(base[which].reduce<number>((sum, v) => sum + (v! - filmed.value) ** 2, 0) / (n - 1))
  // Scatter between runs holds the marks' noise already: the greater of the two counts, not both.
  const between = { u: spread / Math.sqrt(n), dof: n - 1 }
  const random = between.u > filmed.random.u ? between : filmed.random
  return { at_m, filmed, typical: estimateOf(book, 'm/s', filmed.value, filmed.effects, random), scatter_m_s: spread }
}

function meanTransit(
  book: SourceBook,
  evaluation: SeriesEvaluation,
  scatter: MarkScatter,
  doubt: ModelDoubt,
): Estimate | null {
  const { plan, places } = evaluation
  const { entry_m, exit_m } = places
  if (entry_m === null || exit_m === null) return null
  const derivatives = plan.runs.map(
    (_, i) => transitWithDerivatives(plan.model.fit, i, entry_m, exit_m)?.derivatives ?? null,
  )
  if (derivatives.includes(null)) return null
  const marks = { u: scatter.ofMean(derivatives), dof: scatter.noise.dof }
  const mean = (n: Pick<SeriesNumbers, 'transit_s'>) => meanOf(n.transit_s)
  return quantityOf(book, evaluation, 's', mean, doubt.widened(marks, mean))
}

/** Among 1000 normal marks one lies beyond 3.3σ; beyond 4.5σ one in 150 000. */
const outlierFrom = 4.5

function runResults(
  book: SourceBook,
  evaluation: SeriesEvaluation,
  scatter: MarkScatter,
  doubt: ModelDoubt,
): RunResult[] {
  const { plan, places } = evaluation
  const { model, fit, travel } = plan
  const standardised = residualsOf(model.fit)
  const spread = Math.sqrt(model.noise.scale2)
  const alone = (i: number, derivatives: Derivatives | undefined): RandomPart | null =>
    derivatives
      ? { u: scatter.ofMean(plan.runs.map((_, j) => (j === i ? derivatives : null))), dof: model.noise.dof }
      : null
  return plan.runs.map((run, i): RunResult => {
    const r = standardised[i]!
    const read = (unit: string, quantity: (n: SeriesNumbers) => number | null, random: RandomPart | null) =>
      random && quantityOf(book, evaluation, unit, quantity, random)
    const acceleration = read('m/s2', (n) => travel * n.ownAccelerations_m_s2[i]!, {
      u: Math.sqrt(fit.variances[i]!),
      dof: model.noise.dof,
    })
    if (!acceleration) throw new Error('a fitted run has no acceleration')
    const doubted = (unit: string, quantity: Parameters<ModelDoubt['widened']>[1], marks: RandomPart | null) =>
      marks && read(unit, quantity, doubt.widened(marks, quantity))
    const speedAt = (which: 'entry_m_s' | 'exit_m_s', at_m: number | null) =>
      at_m === null
        ? null
        : doubted('m/s', (n) => n[which][i]!, alone(i, speedWithDerivatives(model.fit, i, at_m)?.derivatives))
    return {
      runId: run.runId,
      marks: r.length,
      resting: run.resting,
      entry: speedAt('entry_m_s', places.entry_m),
      exit: speedAt('exit_m_s', places.exit_m),
      acceleration,
      transit:
        places.entry_m === null || places.exit_m === null
          ? null
          : doubted(
              's',
              (n) => n.transit_s[i]!,
              alone(i, transitWithDerivatives(model.fit, i, places.entry_m, places.exit_m)?.derivatives),
            ),
      residuals: {
        t_s: [...run.series.t_s],
        s_m: [...run.series.s_m],
        residual_m: Array.from(r, (value, j) => value * run.series.sigma_m[j]!),
        sigma_m: [...run.series.sigma_m],
        mark: run.mark,
      },
      outliers: Array.from(r, (value, j) => ({ mark: run.mark[j]!, times_sigma: value / spread })).filter(
        ({ times_sigma }) => Math.abs(times_sigma) > outlierFrom,
      ),
    }
  })
}

function speedCurve(
  { plan, places, base, moved }: SeriesEvaluation,
  scatter: MarkScatter,
  doubt: ModelDoubt,
): SpeedCurve {
  const { dof } = scatter.noise
  const usable = places.curve_m
    .map((at_m, j) => ({
      j,
      at_m,
      derivatives: plan.runs.map((_, i) => speedWithDerivatives(plan.model.fit, i, at_m)?.derivatives ?? null),
    }))
    .filter(({ j, derivatives }) => base.curve_m_s[j] !== null && !derivatives.includes(null))
  const effects = new Map<string, readonly number[]>()
  for (const [id, { plus, minus }] of moved)
    effects.set(
      id,
      usable.map(({ j }) => {
        const [up, down] = [plus.curve_m_s[j], minus.curve_m_s[j]]
        return typeof up === 'number' && typeof down === 'number' ? (up - down) / 2 : 0
      }),
    )
  return {
    at_m: usable.map(({ at_m }) => at_m),
    speed_m_s: usable.map(({ j }) => base.curve_m_s[j]!),
    effects,
    random_m_s: usable.map(
      ({ j, derivatives }) => doubt.widened({ u: scatter.ofMean(derivatives), dof }, (n) => n.curve_m_s[j] ?? null).u,
    ),
    dof,
    motions: plan.runs.map((_, i) => motionOf(plan, i)),
    covered_m: plan.covered_m,
  }
}

/** Places at which the speed of a single run is told. */
const motionPlaces = 33

function motionOf({ model, runs }: SeriesEvaluation['plan'], i: number): Motion {
  const { s_m } = runs[i]!.series
  const [first, last] = [s_m[0]!, s_m[s_m.length - 1]!]
  const [low, high] = first < last ? [first, last] : [last, first]
  const at_m: number[] = []
  const speed_m_s: number[] = []
  for (let k = 0; k < motionPlaces; k++) {
    const place = low + ((high - low) * k) / (motionPlaces - 1)
    const speed = speedAtPlace(model.fit, i, place)
    if (speed === undefined) continue
    at_m.push(place)
    speed_m_s.push(speed)
  }
  return { at_m, speed_m_s }
}

function stall(acceleration_m_s2: number, travel: 1 | -1, exit: SpeedResult | null): SeriesResult['slows'] {
  if (!exit) return null
  const beyondExit_m = exit.filmed.value ** 2 / (2 * Math.abs(acceleration_m_s2))
  return { stallsAt_m: exit.at_m + travel * beyondExit_m, beyondExit_m }
}
