import type { SlowlaneRecord } from '../record/index.ts'
import { samplesOf } from './samples.ts'

/** A mark far off its lane line, against where the run's other marks lie. */
export interface OffLineMark {
  readonly runId: string
  /** Index in the run's columns. */
  readonly mark: number
  readonly frame: number
  /** How far from where the others run [m], positive to the right of the lane's direction as seen. */
  readonly off_m: number
}

/** A run whose marks all lie to one side: its line is drawn beside the ball's path, or on another lane. */
export interface OffLineRun {
  readonly runId: string
  readonly off_m: number
}

/** Less than this is never pointed out [m]: a groove lets a ball play by so much (common practice, no source). */
const play_m = 0.002

/**
 * Marks that lie farther from their lane line than the run's others do (six robust standard deviations, and 2 mm), and runs that lie off as a whole
 * by more than half a ball. Farthest first.
 */
export function offLine(
  record: SlowlaneRecord,
  viewId: string,
  laneId: string,
): { readonly marks: readonly OffLineMark[]; readonly runs: readonly OffLineRun[] } {
  const marks: OffLineMark[] = []
  const runs: OffLineRun[] = []
  for (const run of Object.values(record.runs)) {
    if (run.laneId !== laneId || run.viewId !== viewId) continue
    const samples = samplesOf(record, run.id)
    if (samples.kind !== 'samples' || samples.across_m.length < 3) continue
    const middle = median(samples.across_m)
    const scatter = 1.4826 * median(samples.across_m.map((value) => Math.abs(value - middle)))
    const limit = Math.max(play_m, 6 * scatter)
    const ball = record.balls[run.ballId]
    if (ball && Math.abs(middle) > ball.diameter_m.value / 2) runs.push({ runId: run.id, off_m: middle })
    for (const [i, value] of samples.across_m.entries())
      if (Math.abs(value - middle) > limit)
        marks.push({ runId: run.id, mark: samples.mark[i]!, frame: samples.frame[i]!, off_m: value - middle })
  }
  const far = (a: { off_m: number }, b: { off_m: number }) => Math.abs(b.off_m) - Math.abs(a.off_m)
  return { marks: marks.sort(far), runs: runs.sort(far) }
}

function median(values: Float64Array): number {
  const sorted = Float64Array.from(values).sort()
  return sorted[sorted.length >> 1]!
}
