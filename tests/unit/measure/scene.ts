import {
  type Clip,
  type LaneLine,
  type Plane,
  type Px,
  type SlowlaneRecord,
  type Source,
  type Stated,
  type View,
  emptyRecord,
} from '../../../workers/record/index.ts'
import { type Camera, frontal, see } from './pinhole.ts'

export const exact = (value: number): Stated => ({ value, sources: [] })

/** A lane in the plane z = 0, running down to the right; place of arc length s. */
export interface TestLane {
  readonly x_m: number
  readonly y_m: number
  readonly slope_rad: number
  readonly length_m: number
}
export const lane: TestLane = { x_m: 0.05, y_m: 0, slope_rad: 0.035, length_m: 0.5 }

export function onLane(s: number, at: TestLane = lane): readonly [number, number, number] {
  return [at.x_m + s * Math.cos(at.slope_rad), at.y_m + s * Math.sin(at.slope_rad), 0]
}

export interface SceneOptions {
  readonly camera?: Camera
  readonly plane?: (look: (x: number, y: number, z?: number) => Px) => Plane
  readonly line?: (look: (x: number, y: number, z?: number) => Px) => LaneLine
  readonly s?: readonly number[]
  readonly view?: (view: View, look: (x: number, y: number, z?: number) => Px) => void
  readonly clip?: (clip: Clip) => void
  readonly sources?: readonly Source[]
}

/** The usual plane: a rectangle of 0.44 m × 0.2 m in the lane's plane, sides exact. */
export const rectangleOf = (look: (x: number, y: number) => Px, x = 0.08, y = -0.1, w = 0.44, h = 0.2): Plane => ({
  kind: 'rectangle',
  id: 'p',
  name: 'board',
  corners: [look(x, y), look(x + w, y), look(x + w, y + h), look(x, y + h)],
  width_m: exact(w),
  height_m: exact(h),
})

export const barOf = (look: (x: number, y: number, z?: number) => Px, y = 0, z = 0, x = 0.1, length = 0.3): Plane => ({
  kind: 'bars',
  id: 'p',
  name: 'bar',
  bars: [{ id: 'b1', a: look(x, y, z), b: look(x + length, y, z), length_m: exact(length) }],
})

/** A record with one view, one lane, one run whose marks are exact projections of `s`, one frame each at 240 frames per second. */
export function sceneRecord(options: SceneOptions = {}): SlowlaneRecord {
  const camera = options.camera ?? frontal
  const look = (x: number, y: number, z = 0) => see(camera, [x, y, z])
  const s = options.s ?? Array.from({ length: 21 }, (_, i) => i / 40)
  const seen = s.map((value) => see(camera, onLane(value)))
  const record = emptyRecord('r', 'test', '2026-01-01T00:00:00Z')
  for (const source of options.sources ?? []) record.sources[source.id] = source
  const line: LaneLine = options.line?.(look) ?? {
    laneId: 'A',
    planeId: 'p',
    shape: 'straight',
    points: [see(camera, onLane(0)), see(camera, onLane(lane.length_m))],
    nearer_m: exact(0),
  }
  const view: View = {
    id: 'v',
    name: 'front',
    width: camera.width,
    height: camera.height,
    timebase: { kind: 'filmed-at', rate_hz: exact(240), spacing: 'even' },
    planes: { p: options.plane?.(look) ?? rectangleOf(look) },
    lens: { kind: 'typed', k1: exact(camera.k1) },
    gravity: [],
    lines: { A: line },
    pitch_rad: exact(camera.pitch_rad),
    yaw_rad: exact(camera.yaw_rad),
    distance_m: exact(camera.distance_m),
  }
  options.view?.(view, look)
  record.views['v'] = view
  const clip: Clip = {
    id: 'c',
    name: 'clip 1',
    size: 1,
    quickKey: '0',
    container: 'mp4',
    codec: 'avc',
    width: camera.width,
    height: camera.height,
    rotation: 0,
    turn: 0,
    frames: s.length,
    timescale: 30,
    firstTicks: 0,
    lastTicks: s.length - 1,
    interval: { median: 1, least: 1, greatest: 1, uneven: 0 },
    timestampStep_s: 0,
    fileRate_hz: 30,
    filmingRateTag_hz: null,
    damage: null,
    viewId: 'v',
  }
  options.clip?.(clip)
  record.clips['c'] = clip
  record.lanes['A'] = { id: 'A', key: 'A', name: 'lane A', guide: { kind: 'flat' }, supports: [] }
  record.mountings['m'] = {
    id: 'm',
    laneId: 'A',
    name: 'as set up',
    slope: { kind: 'angle', angle_rad: exact(lane.slope_rad) },
  }
  record.balls['ball'] = { id: 'ball', name: 'steel', diameter_m: exact(0.016), material: 'steel' }
  record.finishes['f'] = { id: 'f', name: 'as cut', order: 0 }
  record.runs['run'] = {
    id: 'run',
    laneId: 'A',
    mountingId: 'm',
    viewId: 'v',
    clipId: 'c',
    finishId: 'f',
    ballId: 'ball',
    direction: 'down',
    marks: {
      frame: s.map((_, i) => i),
      ticks: s.map((_, i) => i),
      x: seen.map((p) => p.x),
      y: seen.map((p) => p.y),
      sigma: s.map(() => 0.3),
      origin: s.map(() => 'hand' as const),
      doubt: s.map(() => 0),
    },
  }
  return record
}

/** Deterministic numbers, −1 … 1. */
export function seeded(seed: number): () => number {
  let state = seed >>> 0
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return state / 2 ** 31 - 1
  }
}
