import { laneGeometry } from '../../workers/measure/lane-geometry.ts'
import { undistort } from '../../workers/measure/lens.ts'
import { timeRuleOf } from '../../workers/measure/time-of.ts'
import type { Deviations, Marks, Run, SlowlaneRecord } from '../../workers/record/index.ts'

export interface SimulatedRun {
  readonly laneId: string
  readonly mountingId: string
  readonly finishId: string
  readonly ballId: string
  readonly direction: Run['direction']
  /** True position [m] along the lane at true time [s] since the first marked frame. */
  readonly s: (t_s: number) => number
  readonly frames: number
  readonly every: number
  readonly sigma_px: number
  /** Noise of mark k along and across the lane, in units of sigma_px. */
  readonly noise: () => readonly [number, number]
}

/**
 * Adds a run to a record whose world deviates from what is stated by `deviations`: the true positions are seen through the geometry and the clock that
 * the record would have with its sources so moved, then noise is added. The record itself keeps what was stated.
 */
export function addSimulatedRun(record: SlowlaneRecord, run: SimulatedRun, deviations: Deviations): string {
  const [viewId] = Object.keys(record.views)
  const [clipId] = Object.keys(record.clips)
  if (viewId === undefined || clipId === undefined) throw new Error('a simulated run needs a view and a clip')
  const geometry = laneGeometry(record, viewId, run.laneId, deviations)
  const rule = timeRuleOf(record, record.clips[clipId]!, deviations)
  if (geometry.kind !== 'lane' || rule.kind !== 'time-rule') throw new Error('the simulated world cannot be seen')
  const id = `run${Object.keys(record.runs).length + 1}`
  const marks: Marks = { frame: [], ticks: [], x: [], y: [], sigma: [], origin: [], doubt: [] }
  const start = rule.secondsAt(0, 0)
  const [first, last] = [geometry.pictureAt(0), geometry.pictureAt(0.5)]
  const length = Math.hypot(last.x - first.x, last.y - first.y)
  const [ux, uy] = [(last.x - first.x) / length, (last.y - first.y) / length]
  for (let frame = 0; frame < run.frames; frame += run.every) {
    const ticks = frame * 512
    const straight = geometry.pictureAt(run.s(rule.secondsAt(frame, ticks) - start))
    // Where the lens shows it: undistortion inverted by a few steps.
    let [x, y] = [straight.x, straight.y]
    for (let step = 0; step < 4; step++) {
      const back = undistort(geometry.lens, x, y)
      x += straight.x - back.x
      y += straight.y - back.y
    }
    const [along, across] = run.noise()
    marks.frame.push(frame)
    marks.ticks.push(ticks)
    marks.x.push(x + run.sigma_px * (along * ux - across * uy))
    marks.y.push(y + run.sigma_px * (along * uy + across * ux))
    marks.sigma.push(run.sigma_px)
    marks.origin.push('hand')
    marks.doubt.push(0)
  }
  const { laneId, mountingId, finishId, ballId, direction } = run
  record.runs[id] = { id, laneId, mountingId, viewId, clipId, finishId, ballId, direction, marks }
  return id
}
