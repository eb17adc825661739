import { flagSentence, problemSentence, type LaneResult } from '../../fit/index.ts'
import type { SlowlaneRecord } from '../../record/index.ts'

/** Left out: residuals are in the table of samples, speed curves follow from the model. */
const leftOut: ReadonlySet<string> = new Set(['residuals', 'speeds'])

/** Results as plain data: maps by source id as objects, null for infinitely many degrees of freedom, sentences beside their values. */
export function resultsData(record: SlowlaneRecord, results: readonly LaneResult[]): unknown {
  return results.map((result) => ({
    lane: record.lanes[result.laneId]?.key ?? null,
    finish: record.finishes[result.finishId]?.name ?? null,
    ...(plain(result) as object),
    says: [
      ...result.problems.map((problem) => problemSentence(record, problem)),
      ...result.flags.map((flag) => flagSentence(record, flag)),
    ],
  }))
}

function plain(value: unknown): unknown {
  if (typeof value === 'number') return Number.isFinite(value) ? value : null
  if (typeof value !== 'object' || value === null) return value
  if (Array.isArray(value)) return value.map(plain)
  if (ArrayBuffer.isView(value)) return Array.from(value as unknown as ArrayLike<number>, plain)
  if (value instanceof Map) return Object.fromEntries([...value].map(([key, item]) => [String(key), plain(item)]))
  return Object.fromEntries(
    Object.entries(value)
      .filter(([key]) => !leftOut.has(key))
      .map(([key, item]) => [key, plain(item)]),
  )
}
