import { readFileSync } from 'node:fs'
import { equivalentTruth, fullViewFrames } from '../../samples/equivalent.ts'
import { ensureScene } from '../../samples/scenes.ts'
import { readTruth, type CompactTruth, type Truth } from '../../samples/truth.ts'
import { resultsOfLane } from '../../workers/fit/index.ts'
import { allSources, propagate, sampleSources, samplesOf } from '../../workers/measure/index.ts'
import type { Plane, SlowlaneRecord } from '../../workers/record/index.ts'
import { exact, sceneRecord, seeded } from '../unit/measure/scene.ts'
import { laneOfScene, point } from './scene-lane.ts'

// Source of the truth: clips of the project's own renderer with a tilted, turned, curved-lens camera; positions are exact projections. A click's noise is
// added here, seeded.

/** Scatter of a click by hand [px]. */
export const click_px = 0.3
const every = 4

/** A record set up from a scene, and the scene's truth: `s` are the true places at the marks [m]. */
export interface Staged {
  readonly truth: Truth
  readonly raw: CompactTruth
  readonly s: readonly number[]
  readonly record: SlowlaneRecord
}

/** A record of a scene's only ball with noisy clicks on every fourth frame; nothing corrected yet, scaled by its bar as if all were square. */
export async function staged(name: string, seed: number, noise_px = click_px): Promise<Staged> {
  const { truth: path } = await ensureScene(name)
  const raw = JSON.parse(readFileSync(path, 'utf8')) as CompactTruth
  const truth = readTruth(raw)
  const track = truth.tracks[0]!
  const used = new Set(fullViewFrames(track, every))
  const at = track.frame.flatMap((frame, i) => (used.has(frame) ? [i] : []))
  const s = at.map((i) => track.s[i]!)
  const record = sceneRecord({ s })
  const uniform = seeded(seed)
  const normal = () => noise_px * (Array.from({ length: 12 }, uniform).reduce((sum, x) => sum + x, 0) / 2)
  const { marks } = record.runs['run']!
  marks.frame = at.map((i) => track.frame[i]!)
  marks.ticks = marks.frame
  marks.x = at.map((i) => track.x[i]! + normal())
  marks.y = at.map((i) => track.y[i]! + normal())
  marks.sigma = at.map(() => click_px)
  const clip = record.clips['c']!
  clip.frames = truth.frames
  clip.lastTicks = truth.frames - 1
  const view = record.views['v']!
  view.width = truth.image.width
  view.height = truth.image.height
  view.timebase = { kind: 'filmed-at', rate_hz: exact(truth.capture_fps), spacing: 'even' }
  view.lens = { kind: 'typed', k1: exact(0) }
  view.yaw_rad = exact(0)
  view.pitch_rad = exact((6 * Math.PI) / 180)
  view.distance_m = exact(-raw.camera.position_m[1] + raw.bars[0]!.ends[0].at_m[1])
  view.planes = { p: barOf(truth) }
  laneOfScene(record, truth)
  return { truth, raw, s, record }
}

function barOf(truth: Truth): Plane {
  const bar = truth.bars[0]!
  return {
    kind: 'bars',
    id: 'p',
    name: 'bar',
    bars: [{ id: 'b', a: point(bar.ends_px[0]), b: point(bar.ends_px[1]), length_m: exact(bar.length_m) }],
  }
}

/** The scene's board of known sides, its corners where they truly are. */
export function rectangle({ truth }: Staged): Extract<Plane, { kind: 'rectangle' }> {
  const { corners_px, width_m, height_m } = truth.rectangle!
  const [a, b, c, d] = corners_px.map(point)
  return {
    kind: 'rectangle',
    id: 'p',
    name: 'board',
    corners: [a!, b!, c!, d!],
    width_m: exact(width_m),
    height_m: exact(height_m),
  }
}

/** What a record says of its run, against the truth. */
export interface Reading {
  /** Error of the run's length, and its U = 2 u, relative. */
  readonly lengthOff: number
  readonly lengthU: number
  readonly crrOff: number
  readonly crrU: number
}

export function read({ record, s, truth }: Staged): Reading {
  const last = s.length - 1
  const length = propagate(sampleSources(record, 'run'), allSources(record), (deviations) => {
    const samples = samplesOf(record, 'run', deviations)
    return samples.kind === 'samples' ? samples.s_m[last]! - samples.s_m[0]! : undefined
  })
  if (!length) throw new Error(JSON.stringify(samplesOf(record, 'run')))
  const samples = samplesOf(record, 'run')
  if (samples.kind !== 'samples') throw new Error(samples.kind)
  const clicks = Math.hypot(samples.sigma_m[0]!, samples.sigma_m[last]!)
  const [result] = resultsOfLane(record, 'A')
  const crr = result?.crr
  if (!crr) throw new Error(JSON.stringify(result?.problems))
  const track = truth.tracks[0]!
  const wanted = equivalentTruth(truth, 'A', [{ ball: track.ball, frames: record.runs['run']!.marks.frame }])
  const span = s[last]! - s[0]!
  return {
    lengthOff: length.value / span - 1,
    lengthU: (2 * Math.hypot(length.u, clicks)) / span,
    crrOff: crr.value - wanted.c_rr,
    crrU: crr.U,
  }
}
