import { allSources } from '../measure/implicit-sources.ts'
import type { SlowlaneRecord } from '../record/index.ts'
import { adviceFor } from './advice.ts'
import { budgetOf } from './budget.ts'
import { crossChecks } from './cross-checks.ts'
import { sourceStep, type SourceBook } from './estimates.ts'
import {
  evaluateSeries,
  mirrored,
  plannedNumbers,
  probesOf,
  Settings,
  type Places,
  type SeriesNumbers,
  type SeriesPlan,
} from './evaluate.ts'
import { flagsOf } from './judge.ts'
import { planLane, type LanePlan } from './plan.ts'
import type { LaneProblem } from './problems.ts'
import { laneProblems } from './lane-problems.ts'
import { relevantSources } from './relevant-sources.ts'
import type { LaneResult } from './results.ts'
import type { SeriesEvaluation } from './quantity.ts'
import { seriesResult } from './series-result.ts'
import type { Moved } from './speed-curve.ts'
import { waysOf } from './ways.ts'

/** Every source that effects may name, and the coverage of the record's intervals. */
export function sourceBookOf(record: SlowlaneRecord): SourceBook {
  return { sources: allSources(record), coverage: record.settings.coverage }
}

/** Results of every lane and finish that has runs, lanes in the record's order, finishes in theirs. A pure function of the record. */
export function laneResults(record: SlowlaneRecord, book: SourceBook = sourceBookOf(record)): LaneResult[] {
  return Object.keys(record.lanes).flatMap((laneId) => resultsOfLane(record, laneId, book))
}

/** Results of one lane in each finish that has runs. */
export function resultsOfLane(
  record: SlowlaneRecord,
  laneId: string,
  book: SourceBook = sourceBookOf(record),
): LaneResult[] {
  const plan = planLane(record, laneId)
  const evaluated = evaluateLane(record, plan, book)
  return plan.finishes.map(({ finishId, series: planned, problems: runProblems }, i): LaneResult => {
    const evaluations = evaluated[i]!
    const series = evaluations.map((evaluation) => seriesResult(book, evaluation))
    const ways = waysOf(book, evaluations, series)
    const crr = ways[0]?.crr ?? null
    const problems: LaneProblem[] = [...runProblems, ...laneProblems(record, evaluations, ways)]
    if (!plan.stretch && evaluations.length > 0)
      problems.push({
        kind: 'no-common-stretch',
        runIds: planned.flatMap(({ plan: { runs } }) => runs.map((run) => run.runId)),
      })
    const main = mainSeries(series.map((s) => ({ travel: s.travel, runs: s.runs.length })))
    const partial = { laneId, finishId, stretch: plan.stretch ?? null, series, main, ways, crr, problems }
    return {
      ...partial,
      checks: evaluations.flatMap((evaluation, k) => crossChecks(book, evaluation, series[k]!, k)),
      advice: adviceFor(book, evaluations, ways),
      budget: crr ? budgetOf(record, book, crr, 'scatter of the marks and between runs') : [],
      flags: flagsOf(record, book, partial, evaluations),
    }
  })
}

/** Downhill before uphill, then the most runs. */
function mainSeries(series: readonly { readonly travel: 1 | -1; readonly runs: number }[]): number | null {
  let best: number | null = null
  for (const [i, one] of series.entries()) {
    const other = best === null ? undefined : series[best]!
    if (!other || one.travel > other.travel || (one.travel === other.travel && one.runs > other.runs)) best = i
  }
  return best
}

/** Every series of a lane as planned and under each of its sources moved both ways, grouped by finish. */
function evaluateLane(record: SlowlaneRecord, plan: LanePlan, book: SourceBook): SeriesEvaluation[][] {
  const all = plan.finishes.flatMap(({ series }) => series)
  const bases = new Map(all.map((one) => [one.plan, plannedNumbers(record, one.plan, one.places)]))
  const moved = new Map<SeriesPlan, Map<string, Moved<SeriesNumbers>>>(all.map((one) => [one.plan, new Map()]))
  const relevant = new Map(all.map((one) => [one.plan, relevantSources(record, one.plan)]))
  const probes = probesOf(
    record,
    all.map((one) => one.plan),
  )
  const ids = new Set([...relevant.values()].flatMap(({ all: every }) => [...every]))
  for (const id of ids) {
    const step = sourceStep(book, id)
    if (!(step > 0)) continue
    // A point placed a third of a pixel off moves everything in proportion: one side tells the other.
    const oneSided = book.sources[id]?.unit === 'px'
    const sides = (oneSided ? [step] : [step, -step]).map((deviation) => {
      const deviations = new Map([[id, deviation]])
      return { deviations, settings: new Settings(record, deviations) }
    })
    for (const { plan: one, places } of all) {
      const { all: every, marks } = relevant.get(one)!
      if (!every.has(id)) continue
      const [plus, minus] = sides.map(({ deviations, settings }) =>
        evaluateSeries(record, one, places, deviations, settings, marks.has(id), probes),
      )
      const base = bases.get(one)!
      moved.get(one)!.set(id, { plus: plus ?? base, minus: minus ?? (plus && oneSided ? mirrored(base, plus) : base) })
    }
  }
  return plan.finishes.map(({ series }) =>
    series.map(({ plan: one, places }: { plan: SeriesPlan; places: Places }) => ({
      plan: one,
      places,
      base: bases.get(one)!,
      moved: moved.get(one)!,
    })),
  )
}
