import * as maths from '../elementary/maths.ts'
import type { SlowlaneRecord, Trial } from '../record/index.ts'

/** What was counted by hand on a lane in a finish. */
export interface HandCounts {
  readonly passages: number
  readonly stalls: number
  /** Tangents of the angles at which balls started by themselves. */
  readonly startTangents: readonly number[]
  readonly trials: readonly Trial[]
}

/**
 * Counts of a lane and finish. Passages hold for one mounting, since another has another slope; start angles hold for the lane however it stands.
 * With a ball named, only counts with that ball or with any.
 */
export function handCounts(
  record: SlowlaneRecord,
  where: { readonly laneId: string; readonly finishId: string; readonly mountingId: string; readonly ballId: string },
): HandCounts {
  const trials = Object.values(record.trials).filter(
    (trial) =>
      trial.laneId === where.laneId &&
      trial.finishId === where.finishId &&
      (trial.kind === 'start-angles' || trial.mountingId === where.mountingId) &&
      (trial.ballId === null || trial.ballId === where.ballId),
  )
  let passages = 0
  let stalls = 0
  const startTangents: number[] = []
  for (const trial of trials) {
    if (trial.kind === 'passages') {
      passages += trial.passages
      stalls += trial.stalls
    } else startTangents.push(...trial.angles_rad.map(maths.tan))
  }
  return { passages, stalls, startTangents, trials }
}
