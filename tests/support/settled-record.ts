import { readFileSync } from 'node:fs'
import { ballRadius_px } from '../../web/stations/marks/ball-radius.ts'
import { settleClick } from '../../workers/locate/settle-click.ts'
import type { LaneLine, Marks, SlowlaneRecord } from '../../workers/record/index.ts'
import type { Track } from '../../samples/truth.ts'
import { clipRecord, type ClipTruthFile } from './clip-record.ts'
import { everyNth, filmedBall, type TrueLane } from './main-job-truth.ts'
import { openNativeLuma } from './native-luma.ts'

export interface SettledRecord {
  readonly record: SlowlaneRecord
  readonly seen: Track
  readonly lane: TrueLane
  /** Places of the marked frames in the track's columns. */
  readonly marked: readonly number[]
}

/**
 * The record that the main job by mouse leaves behind, without a browser: one ball of a clip pressed at whole pixels on every `every`th frame from the
 * first on in which all of it is seen, each press settled on the outline where there is one. The lane's line runs from the first place to the last.
 */
export async function settledRecord(path: string, ball: string, every = 4): Promise<SettledRecord> {
  const truthFile = `${path}.truth.json`
  const { record } = clipRecord(JSON.parse(readFileSync(truthFile, 'utf8')) as ClipTruthFile)
  const { seen, lane } = await filmedBall(truthFile, ball)
  const marked = everyNth(seen, every)
  const run = record.runs[ball]!
  const [first, last] = [
    { x: seen.x[0]!, y: seen.y[0]! },
    { x: seen.x.at(-1)!, y: seen.y.at(-1)! },
  ]
  const line: LaneLine = { laneId: lane.name, planeId: 'plane', shape: 'straight', points: [first, last] }
  record.views['view']!.lines[lane.name] = line
  const length = Math.hypot(last.x - first.x, last.y - first.y)
  const [ux, uy] = [(last.x - first.x) / length, (last.y - first.y) / length]
  const marks: Marks = { frame: [], ticks: [], x: [], y: [], sigma: [], origin: [], doubt: [] }
  const source = openNativeLuma(`${path}.mp4`)
  for (const i of marked) {
    const pressed = { x: Math.round(seen.ox[i]!), y: Math.round(seen.oy[i]!) }
    const expectedRadius = ballRadius_px(record, 'view', lane.name, run.ballId, pressed)
    const found = settleClick(
      await source.luma(seen.frame[i]!),
      pressed,
      expectedRadius === null ? {} : { expectedRadius },
    )
    const settled = found.kind === 'settled'
    const at = settled ? found : pressed
    marks.frame.push(seen.frame[i]!)
    marks.ticks.push(seen.frame[i]! * 512)
    marks.x.push(at.x)
    marks.y.push(at.y)
    marks.sigma.push(settled ? Math.hypot(ux * found.sigma.x, uy * found.sigma.y) : record.settings.click_px)
    marks.origin.push(settled ? 'settled' : 'hand')
    marks.doubt.push(0)
  }
  source.close()
  record.runs = { [ball]: { ...run, marks } }
  return { record, seen, lane, marked }
}
