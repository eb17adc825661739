import { laneGeometry } from '../measure/lane-geometry.ts'
import { airDrag_per_m } from '../physics/air-drag.ts'
import { massFromDensity_kg } from '../physics/ball.ts'
import { noDeviations, type SlowlaneRecord } from '../record/index.ts'
import { chooseModel } from './choose-model.ts'
import { Settings, type Places, type SeriesPlan } from './evaluate.ts'
import { ballBody, guideNumbers } from './guide-numbers.ts'
import { planLocal } from './local-fit.ts'
import { knotsOver, pieceLength_m } from './pieces.ts'
import type { RunProblem } from './problems.ts'
import type { Stretch } from './results.ts'
import type { RunSeries } from './run-fit.ts'
import { fitSeries } from './series-fit.ts'
import { commonStretch } from './stretch.ts'
import { usableRun, type UsableRun } from './usable-run.ts'

/** All series of one lane, in every finish, and the runs that give none. */
export interface LanePlan {
  readonly laneId: string
  readonly stretch: Stretch | undefined
  readonly finishes: readonly {
    readonly finishId: string
    readonly series: readonly { readonly plan: SeriesPlan; readonly places: Places }[]
    readonly problems: readonly RunProblem[]
  }[]
}

/** Places of a speed curve: enough that speeds between them follow by v² being straight. */
const curvePlaces = 15

/** Reads every run of a lane that is not excluded and groups those that share mounting, ball and direction. */
export function planLane(record: SlowlaneRecord, laneId: string): LanePlan {
  const settings = new Settings(record, noDeviations)
  const byFinish = new Map<string, { usable: UsableRun[]; problems: RunProblem[] }>()
  for (const run of Object.values(record.runs)) {
    if (run.laneId !== laneId || run.excluded) continue
    const group = byFinish.get(run.finishId) ?? { usable: [], problems: [] }
    byFinish.set(run.finishId, group)
    const found = usableRun(record, run.id, settings.of(run.id))
    if (found.kind === 'usable') group.usable.push(found)
    else group.problems.push(found)
  }
  const planned = [...byFinish].map(([finishId, { usable, problems }]) => ({
    finishId,
    series: seriesOf(record, laneId, finishId, usable),
    problems,
  }))
  planned.sort((a, b) => (record.finishes[a.finishId]?.order ?? 0) - (record.finishes[b.finishId]?.order ?? 0))
  const all = planned.flatMap(({ series }) => series)
  const stretch = all.length > 0 ? commonStretch(all, laneLength(record, laneId)) : undefined
  const finishes = planned.map(({ finishId, series, problems }) => ({
    finishId,
    series: series.map((plan) => ({ plan, places: placesOf(plan, stretch) })),
    problems,
  }))
  return { laneId, stretch, finishes }
}

/** Entry and exit at the ends of the stretch; the curve reaches as far as all runs of the series do. */
function placesOf({ travel, runs }: SeriesPlan, stretch: Stretch | undefined): Places {
  const [low, high] = commonOf(runs)
  const from = stretch ? Math.min(stretch.from_m, low) : low
  const to = stretch ? Math.max(stretch.to_m, high) : high
  const inside = Array.from({ length: curvePlaces }, (_, i) => from + ((to - from) * i) / (curvePlaces - 1))
  const ends = stretch ? [stretch.from_m, stretch.to_m] : []
  const curve_m = to > from ? [...new Set([...inside, ...ends])].sort((a, b) => a - b) : []
  if (!stretch) return { entry_m: null, exit_m: null, curve_m }
  return travel > 0
    ? { entry_m: stretch.from_m, exit_m: stretch.to_m, curve_m }
    : { entry_m: stretch.to_m, exit_m: stretch.from_m, curve_m }
}

function seriesOf(
  record: SlowlaneRecord,
  laneId: string,
  finishId: string,
  usable: readonly UsableRun[],
): SeriesPlan[] {
  const groups = new Map<string, UsableRun[]>()
  for (const run of usable) {
    const { mountingId, ballId } = record.runs[run.runId]!
    const key = `${mountingId} ${ballId} ${run.travel}`
    groups.set(key, [...(groups.get(key) ?? []), run])
  }
  return [...groups.values()].map((runs): SeriesPlan => {
    const { mountingId, ballId } = record.runs[runs[0]!.runId]!
    const travel = runs[0]!.travel
    const series: readonly RunSeries[] = runs.map((run) => run.series)
    const wanted = record.settings.models[`${laneId}.${finishId}`] ?? 'auto'
    const knots = knotsOver(commonOf(runs), pieceLength_m, series)
    const drag_per_m = knownDrag(record, laneId, ballId)
    const model = chooseModel(series, travel, wanted, drag_per_m, knots)
    const fit = model && fitSeries(series, model.noise, model.scatter?.counted ?? false)
    if (!model || !fit) throw new Error('runs that each carry a quadratic carry none together')
    return {
      laneId,
      mountingId,
      ballId,
      travel,
      level: runs.every(({ runId }) => record.runs[runId]!.direction === 'level'),
      runs,
      fit,
      model,
      local: planLocal(model, series, travel, knots),
      drag_per_m,
      covered_m: coveredBy(runs),
    }
  })
}

/** Air drag of the ball [1/m]; 0 where neither mass nor density is given. */
function knownDrag(record: SlowlaneRecord, laneId: string, ballId: string): number {
  const ball = record.balls[ballId]!
  const body = ballBody(ball, ({ value }) => value)
  const guide = guideNumbers(record, laneId, ballId, noDeviations)
  const mass = ball.mass_kg?.value ?? (ball.density_kg_m3 && massFromDensity_kg(body, ball.density_kg_m3.value))
  if (mass === undefined || !(mass > 0) || guide.kind !== 'numbers') return 0
  return airDrag_per_m({ radius_m: body.radius_m, mass_kg: mass, k: guide.inertiaFactor })
}

/** From the first place that any of the runs covers to the last: where the slope acts on them. */
function coveredBy(runs: readonly UsableRun[]): [number, number] {
  const spans = runs.map(spanOf)
  return [Math.min(...spans.map(([low]) => low)), Math.max(...spans.map(([, high]) => high))]
}

/** The part that every run covers; empty (second below first) where they do not overlap. */
function commonOf(runs: readonly UsableRun[]): [number, number] {
  const spans = runs.map(spanOf)
  return [Math.max(...spans.map(([low]) => low)), Math.min(...spans.map(([, high]) => high))]
}

function spanOf({ series: { s_m } }: UsableRun): [number, number] {
  const [first, last] = [s_m[0]!, s_m[s_m.length - 1]!]
  return first < last ? [first, last] : [last, first]
}

/** Length of the lane's line in the first view that gives one; else what is stated; else unbounded. */
function laneLength(record: SlowlaneRecord, laneId: string): number {
  for (const view of Object.values(record.views)) {
    if (!view.lines[laneId]) continue
    const geometry = laneGeometry(record, view.id, laneId, noDeviations)
    if (geometry.kind === 'lane') return geometry.length_m
  }
  return record.lanes[laneId]?.length_m?.value ?? Infinity
}
