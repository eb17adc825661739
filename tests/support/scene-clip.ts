import { execFileSync } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { equivalentTruth, fullViewFrames } from '../../samples/equivalent.ts'
import { ensureScene } from '../../samples/scenes.ts'
import { readTruth, type CompactTruth, type Truth } from '../../samples/truth.ts'
import type { FrameSource } from '../../workers/decode/frame-source.ts'
import type { Run, SlowlaneRecord } from '../../workers/record/index.ts'
import { exact, sceneRecord, seeded } from '../unit/measure/scene.ts'
import { openNativeLuma } from './native-luma.ts'
import { laneOfScene, point } from './scene-lane.ts'

/** A rendered scene: its clip, its timestamps by ffprobe, and its truth. */
export interface SceneClip {
  readonly path: string
  readonly truth: Truth
  readonly raw: CompactTruth
  readonly ticks: readonly number[]
  readonly timescale: number
}

export async function sceneClip(name: string): Promise<SceneClip> {
  const { clip, truth } = await ensureScene(name)
  const raw = JSON.parse(readFileSync(truth, 'utf8')) as CompactTruth
  const probed = (what: string) =>
    execFileSync('ffprobe', ['-v', 'error', '-select_streams', 'v:0', '-show_entries', what, '-of', 'csv=p=0', clip], {
      encoding: 'utf8',
    })
  const [, timescale] = probed('stream=time_base').trim().split('/')
  const ticks = probed('packet=pts')
    .trim()
    .split('\n')
    .map((line) => Number.parseInt(line, 10))
    .sort((a, b) => a - b)
  return { path: clip, raw, truth: readTruth(raw), ticks, timescale: Number(timescale) }
}

/** Frames of a clip decoded by the ffmpeg of the machine, as jobs beside the frames are given them. `shows`: which frame stands in the place of another. */
export function nativeFrames(
  path: string,
  shows: (frame: number) => number = (frame) => frame,
): FrameSource & { close(): void } {
  const native = openNativeLuma(path)
  return {
    frames: native.frameCount,
    width: native.storedWidth,
    height: native.storedHeight,
    rotation_deg: 0,
    mirrored: false,
    async luma(frame) {
      const luma = await native.luma(shows(frame))
      return { kind: 'luma', frame, luma: { ...luma, fullRange: false }, doubtful: false }
    },
    close: () => native.close(),
  }
}

const click_px = 0.3

/** A record of a scene: its rectangle as plane, its lane, and seeded noisy clicks on every `every`th frame of each ball; its time not set yet. */
export function sceneMarked(
  { truth, ticks, timescale }: SceneClip,
  seed: number,
  every: number,
): { record: SlowlaneRecord; wantedCrr: () => number } {
  const record = sceneRecord({ s: [0] })
  const lane = truth.lanes[0]!
  const uniform = seeded(seed)
  const normal = () => click_px * (Array.from({ length: 12 }, uniform).reduce((sum, x) => sum + x, 0) / 2)
  const pattern = record.runs['run']!
  record.runs = {}
  for (const track of truth.tracks) {
    const used = new Set(fullViewFrames(track, every))
    const at = track.frame.flatMap((frame, i) => (used.has(frame) ? [i] : []))
    const frame = at.map((i) => track.frame[i]!)
    const run: Run = {
      ...pattern,
      id: track.ball,
      marks: {
        frame,
        ticks: frame.map((f) => ticks[f]!),
        x: at.map((i) => track.x[i]! + normal()),
        y: at.map((i) => track.y[i]! + normal()),
        sigma: at.map(() => click_px),
        origin: at.map(() => 'hand' as const),
        doubt: at.map(() => 0),
      },
    }
    record.runs[track.ball] = run
  }
  const clip = record.clips['c']!
  const steps = ticks.slice(1).map((tick, i) => tick - ticks[i]!)
  const median = [...steps].sort((a, b) => a - b)[steps.length >> 1]!
  Object.assign(clip, {
    width: truth.image.width,
    height: truth.image.height,
    frames: truth.frames,
    timescale,
    firstTicks: ticks[0]!,
    lastTicks: ticks.at(-1)!,
    fileRate_hz: ((ticks.length - 1) * timescale) / (ticks.at(-1)! - ticks[0]!),
    interval: {
      median,
      least: Math.min(...steps),
      greatest: Math.max(...steps),
      uneven: steps.filter((step) => Math.abs(step - median) > Math.max(1, 0.02 * median)).length,
    },
  })
  const view = record.views['v']!
  view.width = truth.image.width
  view.height = truth.image.height
  view.timebase = { kind: 'unset' }
  view.lens = { kind: 'typed', k1: exact(0) }
  const [a, b, c, d] = truth.rectangle!.corners_px.map(point)
  view.planes = {
    p: {
      kind: 'rectangle',
      id: 'p',
      name: 'board',
      corners: [a!, b!, c!, d!],
      width_m: exact(truth.rectangle!.width_m),
      height_m: exact(truth.rectangle!.height_m),
      // Its corners are placed exactly here; what finds them in sub-pixels is this good.
      u_px: 0.02,
    },
  }
  laneOfScene(record, truth)
  const wantedCrr = () =>
    equivalentTruth(
      truth,
      lane.name,
      Object.values(record.runs).map((run) => ({ ball: run.id, frames: run.marks.frame })),
    ).c_rr
  return { record, wantedCrr }
}
