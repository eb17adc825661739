import type { LaneResult } from '../fit/results.ts'
import type { SlowlaneRecord } from '../record/index.ts'

/** Two runs that lie on each other: two balls cannot be in one place. */
export interface OverlappingRuns {
  readonly first: string
  readonly second: string
  /** Frames on which they are nearer than a ball's radius. */
  readonly frames: number
}

/**
 * Pairs of runs of one lane and clip that have marks nearer than a ball's radius on the same frames: one ball marked twice, or two runs joined.
 * They would count as independent and are not.
 */
export function overlappingRuns(record: SlowlaneRecord, results: readonly LaneResult[]): readonly OverlappingRuns[] {
  const placed = new Map<string, Map<number, { readonly runId: string; readonly s_m: number }[]>>()
  const counts = new Map<string, number>()
  for (const result of results)
    for (const series of result.series) {
      const radius_m = (record.balls[series.ballId]?.diameter_m.value ?? 0) / 2
      for (const { runId, residuals } of series.runs) {
        const run = record.runs[runId]
        if (!run) continue
        const where = `${result.laneId} ${run.clipId}`
        let frames = placed.get(where)
        if (!frames) placed.set(where, (frames = new Map()))
        residuals.mark.forEach((mark, i) => {
          const frame = run.marks.frame[mark]!
          const here = frames.get(frame) ?? []
          for (const other of here)
            if (other.runId !== runId && Math.abs(other.s_m - residuals.s_m[i]!) < radius_m) {
              const pair = `${other.runId} ${runId}`
              counts.set(pair, (counts.get(pair) ?? 0) + 1)
            }
          here.push({ runId, s_m: residuals.s_m[i]! })
          frames.set(frame, here)
        })
      }
    }
  return [...counts].map(([pair, frames]) => {
    const [first, second] = pair.split(' ')
    return { first: first!, second: second!, frames }
  })
}
