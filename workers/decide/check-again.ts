import type { SlowlaneRecord } from '../record/index.ts'

/** Months after which dust, wear and the wood's moisture have had their chance (common practice, no source). */
export const monthsBetweenChecks = 3

/**
 * Day (YYYY-MM-DD) on which to check a lane again: three months after it was last filmed or counted. Null where the record holds no date at all.
 */
export function checkAgainOn(
  record: SlowlaneRecord,
  where: { readonly laneId: string; readonly finishId: string },
): string | null {
  const days = [
    ...Object.values(record.runs)
      .filter((run) => run.laneId === where.laneId && run.finishId === where.finishId)
      .map((run) => record.clips[run.clipId])
      .map((clip) => clip?.filmedOn ?? clip?.addedAt),
    ...Object.values(record.trials)
      .filter((trial) => trial.laneId === where.laneId && trial.finishId === where.finishId)
      .map((trial) => trial.on),
  ].flatMap((day) => (day === undefined || Number.isNaN(Date.parse(day)) ? [] : [Date.parse(day)]))
  const last = days.length > 0 ? Math.max(...days) : Date.parse(record.createdAt)
  if (!Number.isFinite(last)) return null
  const date = new Date(last)
  const day = date.getUTCDate()
  date.setUTCDate(1)
  date.setUTCMonth(date.getUTCMonth() + monthsBetweenChecks)
  // The 30th of November and three months is the last of February.
  const lastOfMonth = new Date(Date.UTC(date.getUTCFullYear(), date.getUTCMonth() + 1, 0)).getUTCDate()
  date.setUTCDate(Math.min(day, lastOfMonth))
  return date.toISOString().slice(0, 10)
}
