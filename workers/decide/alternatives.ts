import * as maths from '../elementary/maths.ts'
import type { SourceBook } from '../fit/estimates.ts'
import type { LaneResult } from '../fit/results.ts'
import type { SlowlaneRecord } from '../record/index.ts'
import { changedLane, type BallStops, type ChangedLane } from './changed-lane.ts'
import { grooveFor, type GrooveChange } from './groove-change.ts'
import { laneMargin, type LaneMargin } from './margin.ts'
import { shimFor, type NoShim, type Shim } from './shim.ts'
import { supportsOf } from './supports.ts'

/** The same lane in a finish that was measured, set at the slope of the lane as it is. */
export interface MeasuredFinish {
  readonly kind: 'finish'
  readonly finishId: string
  readonly crr: number
  /** Margin at the present slope, as a tangent. */
  readonly margin: number
  readonly after: ChangedLane | BallStops
}

/** Ways to give a lane its margin, side by side, and the opposite wish. */
export interface Alternatives {
  /** The slope aimed at [rad]: the least that holds. */
  readonly aim_rad: number
  readonly raise: Shim | NoShim
  readonly lower: Shim | NoShim
  readonly groove: GrooveChange
  readonly finishes: readonly MeasuredFinish[]
  /** The lane as flat as its margin allows. Null where it has none to give. */
  readonly slowest: {
    readonly aim_rad: number
    readonly shim: Shim | NoShim
    readonly after: ChangedLane | BallStops
  } | null
}

/** All alternatives for a lane. `results`: those of the whole record, for its other finishes. */
export function alternativesFor(
  record: SlowlaneRecord,
  book: SourceBook,
  results: readonly LaneResult[],
  margin: LaneMargin,
): Alternatives {
  const { setting, window } = margin
  const { laneId, finishId } = setting.result
  const supports = supportsOf(record, laneId)
  const aim_rad = window.least_rad
  const flatter = aim_rad < setting.slope_rad && aim_rad > 0
  return {
    aim_rad,
    raise: shimFor(book, setting, supports, aim_rad),
    lower: shimFor(book, setting, supports, aim_rad, true),
    groove: grooveFor(record, book, margin),
    finishes: results
      .filter((result) => result.laneId === laneId && result.finishId !== finishId)
      .flatMap((result) => measuredFinish(record, book, margin, result) ?? []),
    slowest: flatter
      ? {
          aim_rad,
          shim: shimFor(book, setting, supports, aim_rad),
          after: changedLane(book, setting, { slope_rad: aim_rad }),
        }
      : null,
  }
}

function measuredFinish(
  record: SlowlaneRecord,
  book: SourceBook,
  now: LaneMargin,
  result: LaneResult,
): MeasuredFinish | undefined {
  const other = laneMargin(record, book, result)
  if (other.kind !== 'margin') return undefined
  const tangent = maths.tan(now.setting.slope_rad)
  return {
    kind: 'finish',
    finishId: result.finishId,
    crr: other.setting.crr.value,
    // On its own mounting the need is on that mounting's scale of slope; on another the two scales may differ by what both slopes may.
    margin: tangent - other.need.tangent,
    after: changedLane(book, now.setting, { slope_rad: now.setting.slope_rad, crr: other.setting.crr.value }),
  }
}
