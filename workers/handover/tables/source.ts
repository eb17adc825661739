import { sourceBookOf, type LaneResult, type RunResult, type SourceBook } from '../../fit/index.ts'
import type { Run, SlowlaneRecord } from '../../record/index.ts'

/** A lane in a finish that has runs, and its result where there is one. */
export interface LaneRow {
  readonly laneId: string
  readonly finishId: string
  readonly result: LaneResult | null
}

/** What every table is made from: the record, its results, and which lanes are asked for. */
export interface TableSource {
  readonly record: SlowlaneRecord
  readonly book: SourceBook
  readonly results: readonly LaneResult[]
  /** All of the record's, asked for or not: comparisons are judged among all. */
  readonly everyResult: readonly LaneResult[]
  readonly runs: readonly Run[]
  readonly lanes: readonly LaneRow[]
  /** What each fitted run gave, by its id. */
  readonly runResults: ReadonlyMap<string, RunResult>
}

/** Gathers it once. `laneIds`: only these lanes; null for all. */
export function tableSource(
  record: SlowlaneRecord,
  results: readonly LaneResult[],
  laneIds: ReadonlySet<string> | null,
): TableSource {
  const asked = (laneId: string) => laneIds === null || laneIds.has(laneId)
  const runs = Object.values(record.runs).filter((run) => asked(run.laneId))
  const kept = results.filter((result) => asked(result.laneId))
  const finishes = Object.values(record.finishes).sort((a, b) => a.order - b.order)
  const lanes = Object.keys(record.lanes).flatMap((laneId) =>
    finishes.flatMap(({ id: finishId }): LaneRow[] => {
      const result = kept.find((one) => one.laneId === laneId && one.finishId === finishId) ?? null
      const filmed = runs.some((run) => run.laneId === laneId && run.finishId === finishId)
      return result || filmed ? [{ laneId, finishId, result }] : []
    }),
  )
  const runResults = new Map(
    kept.flatMap(({ series }) => series.flatMap((one) => one.runs.map((run) => [run.runId, run] as const))),
  )
  return { record, book: sourceBookOf(record), results: kept, everyResult: results, runs, lanes, runResults }
}

/** Key of the lane's chip. */
export const laneKey = (record: SlowlaneRecord, laneId: string): string => record.lanes[laneId]?.key ?? '?'
export const finishName = (record: SlowlaneRecord, finishId: string): string =>
  record.finishes[finishId]?.name ?? finishId

/** Number of each run among those of its lane, by run id; as the page counts them. */
export function runNumbers(record: SlowlaneRecord): ReadonlyMap<string, number> {
  const counted = new Map<string, number>()
  return new Map(
    Object.values(record.runs).map((run) => {
      const n = (counted.get(run.laneId) ?? 0) + 1
      counted.set(run.laneId, n)
      return [run.id, n] as const
    }),
  )
}
