import { laneMargin, type LaneMargin, type NoMargin } from '../../../workers/decide/margin.ts'
import type { LaneResult } from '../../../workers/fit/results.ts'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import { bookOf } from '../compare/compared.ts'

/** One row of the margin table. */
export interface MarginRow {
  readonly key: string
  readonly result: LaneResult
  readonly margin: LaneMargin | NoMargin
  /** The lane was filmed in a later finish too. */
  readonly past: boolean
}

const held = new WeakMap<
  readonly LaneResult[],
  { readonly record: SlowlaneRecord; readonly rows: readonly MarginRow[] }
>()

/** Margins of all lanes and finishes, computed once for each state of record and results. */
export function marginRows(record: SlowlaneRecord, results: readonly LaneResult[]): readonly MarginRow[] {
  const kept = held.get(results)
  if (kept?.record === record) return kept.rows
  const order = (finishId: string) => record.finishes[finishId]?.order ?? 0
  const rows = results
    // Results of a record a moment ago may name a lane that is gone.
    .filter((result) => record.lanes[result.laneId] && record.finishes[result.finishId] && namesHold(record, result))
    .map((result) => ({
      key: `${result.laneId}.${result.finishId}`,
      result,
      margin: laneMargin(record, bookOf(record), result),
      past: results.some(
        (other) =>
          other.laneId === result.laneId && order(other.finishId) > order(result.finishId) && other.main !== null,
      ),
    }))
  held.set(results, { record, rows })
  return rows
}

const namesHold = (record: SlowlaneRecord, result: LaneResult): boolean =>
  result.series.every((series) => record.mountings[series.mountingId] && record.balls[series.ballId])

/** The row that asks for a look first: a lane as it is now that is short of margin, else any short one, else the first. */
export function mostUrgent(rows: readonly MarginRow[]): MarginRow | undefined {
  const short = rows.filter(({ margin }) => margin.kind === 'margin' && margin.need.margin < 0)
  return short.find((row) => !row.past) ?? short[0] ?? leastToSpare(rows) ?? rows[0]
}

/** Of the lanes as they are now, the one that has least to spare. */
function leastToSpare(rows: readonly MarginRow[]): MarginRow | undefined {
  return rows
    .flatMap((row) => (!row.past && row.margin.kind === 'margin' ? [{ row, spare: row.margin.need.margin }] : []))
    .sort((a, b) => a.spare - b.spare)[0]?.row
}
