import { laneGeometry } from '../measure/lane-geometry.ts'
import { noDeviations, type SlowlaneRecord } from '../record/index.ts'
import { Settings, type SeriesPlan } from './evaluate.ts'
import type { RunProblem } from './problems.ts'
import { fitSeries } from './series-fit.ts'
import { usableRun, type UsableRun } from './usable-run.ts'

/** All series of one lane, in every finish, and the runs that give none. */
export interface LanePlan {
  readonly laneId: string
  readonly length_m: number
  readonly finishes: readonly {
    readonly finishId: string
    readonly series: readonly SeriesPlan[]
    readonly problems: readonly RunProblem[]
  }[]
}

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
  const finishes = [...byFinish].map(([finishId, { usable, problems }]) => ({
    finishId,
    series: seriesOf(record, laneId, usable),
    problems,
  }))
  finishes.sort((a, b) => (record.finishes[a.finishId]?.order ?? 0) - (record.finishes[b.finishId]?.order ?? 0))
  return { laneId, length_m: laneLength(record, laneId), finishes }
}

function seriesOf(record: SlowlaneRecord, laneId: string, usable: readonly UsableRun[]): SeriesPlan[] {
  const groups = new Map<string, UsableRun[]>()
  for (const run of usable) {
    const { mountingId, ballId } = record.runs[run.runId]!
    const key = `${mountingId} ${ballId} ${run.travel}`
    groups.set(key, [...(groups.get(key) ?? []), run])
  }
  return [...groups.values()].map((runs): SeriesPlan => {
    const first = record.runs[runs[0]!.runId]!
    const fit = fitSeries(runs.map(({ series }) => series))
    if (!fit) throw new Error('runs that each carry a quadratic carry none together')
    return {
      laneId,
      mountingId: first.mountingId,
      ballId: first.ballId,
      travel: runs[0]!.travel,
      level: runs.every(({ runId }) => record.runs[runId]!.direction === 'level'),
      runs,
      fit,
      covered_m: coveredBy(runs),
    }
  })
}

/** From the first place that any of the runs covers to the last: where the slope acts on them. */
function coveredBy(runs: readonly UsableRun[]): [number, number] {
  let [low, high] = [Infinity, -Infinity]
  for (const { series } of runs) {
    const [first, last] = [series.s_m[0]!, series.s_m[series.s_m.length - 1]!]
    low = Math.min(low, first, last)
    high = Math.max(high, first, last)
  }
  return [low, high]
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
