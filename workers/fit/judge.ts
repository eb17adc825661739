import * as maths from '../elementary/maths.ts'
import { resistanceOfAir } from '../physics/air-drag.ts'
import type { SlowlaneRecord } from '../record/index.ts'
import { differenceOf, type SourceBook } from './estimates.ts'
import type { Flag } from './flags.ts'
import { relevantSources } from './relevant-sources.ts'
import type { LaneResult, SeriesResult, Way } from './results.ts'
import type { SeriesEvaluation } from './quantity.ts'

/** From these on a thing is worth saying. */
const limits = { correlation: 0.3, scatterRatio: 2, share: 0.5, slopeShare: 0.4 }

/** What a person should know about a lane's result. */
export function flagsOf(
  record: SlowlaneRecord,
  book: SourceBook,
  result: Pick<LaneResult, 'series' | 'ways' | 'crr' | 'stretch'>,
  evaluations: readonly SeriesEvaluation[],
): Flag[] {
  const flags: Flag[] = []
  for (const [i, series] of result.series.entries()) {
    const evaluation = evaluations[i]!
    flags.push(...motionFlags(series), ...plausibility(series, evaluation), ...markFlags(record, series))
    flags.push(...modelFlags(series), ...spinFlags(record, series), ...airFlags(series, evaluation))
  }
  const runs = result.series.reduce((sum, { runs: r }) => sum + r.length, 0)
  if (runs === 1) flags.push({ kind: 'one-run' })
  if (result.stretch && result.stretch.limitedBy.length > 0 && result.stretch.shareOfLane < 0.8)
    flags.push({ kind: 'short-run', runIds: result.stretch.limitedBy, shareOfLane: result.stretch.shareOfLane })
  flags.push(...budgetFlags(record, book, result.ways, evaluations), ...disagreements(book, result.ways))
  return flags
}

function motionFlags(series: SeriesResult): Flag[] {
  const flags: Flag[] = []
  if (series.slows) flags.push({ kind: 'slows', direction: series.direction, ...series.slows })
  const { betweenRuns } = series
  if (betweenRuns?.counted)
    flags.push({ kind: 'runs-scatter', sd_m_s2: betweenRuns.sd_m_s2, p: betweenRuns.p, runs: series.runs.length })
  return flags
}

function modelFlags(series: SeriesResult): Flag[] {
  const flags: Flag[] = []
  const { model, local, entry, exit, direction } = series
  for (const spot of local?.slowSpots ?? []) flags.push({ kind: 'slow-spot', direction, ...spot })
  if (model.speedPart)
    flags.push({
      kind: 'depends-on-speed',
      rate_per_s: model.speedPart.rate.value,
      U_per_s: model.speedPart.rate.U,
      crrAtEntry: model.speedPart.crrAtEntry?.value ?? null,
      crrAtExit: model.speedPart.crrAtExit?.value ?? null,
      entry_m_s: entry?.filmed.value ?? null,
      exit_m_s: exit?.filmed.value ?? null,
    })
  const { spokenFor } = model
  if (spokenFor)
    flags.push({
      kind: 'model-doubted',
      taken: model.kind,
      spokenFor: spokenFor.kind,
      entry_m_s: spokenFor.entry_m_s,
      exit_m_s: spokenFor.exit_m_s,
    })
  const pieces = local?.pieces.flatMap(({ crr }) => (crr ? [crr.value] : [])) ?? []
  if (model.kind === 'local' && local?.slowSpots.length === 0 && pieces.length > 0)
    flags.push({ kind: 'uneven', least: Math.min(...pieces), greatest: Math.max(...pieces) })
  return flags
}

/** Distance per turn, read from the ball's pattern, against 2π times the rolling radius. */
function spinFlags(record: SlowlaneRecord, series: SeriesResult): Flag[] {
  const { rollingRadius } = series
  if (!rollingRadius) return []
  const rolling_m = 2 * Math.PI * rollingRadius.value
  return series.runs.flatMap(({ runId }): Flag[] => {
    const spin = record.runs[runId]?.spin
    if (!spin) return []
    const U_m = 2 * maths.hypot(spin.u_m, 2 * Math.PI * rollingRadius.u)
    if (Math.abs(spin.perTurn_m - rolling_m) <= U_m) return []
    const kind = spin.perTurn_m > rolling_m ? 'slip' : 'rolling-radius-disagrees'
    return [{ kind, runId, perTurn_m: spin.perTurn_m, rolling_m, U_m }]
  })
}

/** Air's part of the resistance at the exit, where it is worth knowing: a tenth of C_rr, or the half of its U. */
function airFlags({ crr, exit, model }: SeriesResult, { plan, base }: SeriesEvaluation): Flag[] {
  if (!crr || !exit || !(plan.drag_per_m > 0) || base.inertiaFactor === null || model.kind === 'known-drag') return []
  const speed_m_s = exit.filmed.value
  const ofAir = resistanceOfAir(plan.drag_per_m, speed_m_s, {
    k: base.inertiaFactor,
    g_m_s2: base.g_m_s2,
    slope_rad: base.slope_rad ?? 0,
  })
  const share = ofAir / Math.abs(crr.value)
  return share > 0.1 || ofAir > 0.5 * crr.U ? [{ kind: 'air-drag', crr: ofAir, share, speed_m_s }] : []
}

/**
 * A ball cannot gain more than g sin θ/k going down, nor lose less than that going up: C_rr would be negative. Said, never clipped.
 * Acceleration goes with the square of the filming rate, so the rate that would bring C_rr to 0 hints at the cause.
 */
function plausibility(series: SeriesResult, { base }: SeriesEvaluation): Flag[] {
  const { crr } = series
  if (!crr || crr.value + crr.U >= 0 || base.slope_rad === null || base.inertiaFactor === null) return []
  const frictionless = (series.travel * base.g_m_s2 * maths.sin(base.slope_rad)) / base.inertiaFactor
  const ratio = frictionless / series.acceleration.value
  return [
    {
      kind: 'implausible',
      crr: crr.value,
      U: crr.U,
      acceleration_m_s2: series.acceleration.value,
      frictionless_m_s2: frictionless,
      rateFactor: ratio > 0 ? Math.sqrt(ratio) : null,
    },
  ]
}

function markFlags(record: SlowlaneRecord, series: SeriesResult): Flag[] {
  const flags: Flag[] = []
  if (series.marks.correlation > limits.correlation)
    flags.push({ kind: 'marks-correlated', correlation: series.marks.correlation })
  if (series.marks.ratio > limits.scatterRatio) flags.push({ kind: 'marks-scatter', ratio: series.marks.ratio })
  for (const run of series.runs) {
    if (run.outliers.length > 0)
      flags.push({
        kind: 'outliers',
        runId: run.runId,
        marks: run.outliers.map(({ mark }) => mark),
        most: run.outliers.reduce((most, { times_sigma }) => Math.max(most, Math.abs(times_sigma)), 0),
      })
    if (run.resting.before + run.resting.after > 0)
      flags.push({ kind: 'resting-left-out', runId: run.runId, ...run.resting })
    const stated = record.runs[run.runId]?.direction
    if (stated !== undefined && stated !== 'level' && (stated === 'down' ? 1 : -1) !== series.travel)
      flags.push({ kind: 'direction-disagrees', runId: run.runId, stated })
  }
  return flags
}

function budgetFlags(
  record: SlowlaneRecord,
  book: SourceBook,
  ways: readonly Way[],
  evaluations: readonly SeriesEvaluation[],
): Flag[] {
  const best = ways[0]
  if (!best || !(best.crr.u > 0)) return []
  const slopeIds = new Set(evaluations.flatMap(({ plan }) => [...relevantSources(record, plan).slope]))
  const twoWay = ways.find((way) => way.kind === 'two-way')
  let slopeShare = 0
  let greatest: { id: string; share: number } | undefined
  for (const [id, effect] of best.crr.effects) {
    const share = (effect / best.crr.u) ** 2
    if (slopeIds.has(id)) slopeShare += share
    if (!greatest || share > greatest.share) greatest = { id, share }
  }
  const flags: Flag[] = []
  if (slopeShare > limits.slopeShare && best.kind !== 'two-way')
    flags.push({
      kind: 'slope-dominates',
      share: slopeShare,
      hasTwoWay: twoWay !== undefined,
      twoWayU: twoWay?.crr.U ?? null,
    })
  if (greatest && greatest.share > limits.share && !slopeIds.has(greatest.id)) {
    const source = book.sources[greatest.id]
    flags.push({
      kind: 'source-dominates',
      sourceId: greatest.id,
      name: source?.name ?? greatest.id,
      share: greatest.share,
      guessed: source?.unknown ?? false,
    })
  }
  return flags
}

/** Two ways to one resistance whose difference, what they share taken out, its uncertainty does not explain. */
function disagreements(book: SourceBook, ways: readonly Way[]): Flag[] {
  const flags: Flag[] = []
  for (const [i, first] of ways.entries())
    for (const second of ways.slice(i + 1)) {
      // A mean of ways, or a two-way result, holds the runs of the others: their scatter is not independent.
      if (first.ballId !== second.ballId || !plain(first) || !plain(second)) continue
      const difference = differenceOf(book, first.crr, second.crr)
      if (Math.abs(difference.value) > difference.U)
        flags.push({
          kind: 'ways-disagree',
          first: first.kind,
          second: second.kind,
          difference: difference.value,
          U: difference.U,
        })
    }
  return flags
}

function plain(way: Way): boolean {
  return way.kind === 'down-slope' || way.kind === 'up-slope' || way.kind === 'level'
}
