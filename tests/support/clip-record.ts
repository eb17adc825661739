import {
  emptyRecord,
  type Distribution,
  type Guide,
  type Marks,
  type SlowlaneRecord,
  type Source,
  type Stated,
} from '../../workers/record/index.ts'

/** The part of a clip's truth file that a record is made from; its `conventions` say how pixels, times and positions are meant. */
export interface ClipTruthFile {
  readonly image: { readonly width: number; readonly height: number }
  readonly time: { readonly capture_fps: number; readonly playback_fps: number; readonly frames: number }
  readonly camera: { readonly position_m: readonly number[] }
  readonly rectangle: {
    readonly corners_px: readonly (readonly [number, number])[]
    readonly width_m: number
    readonly height_m: number
  }
  readonly lanes: readonly {
    readonly name: string
    readonly theta_rad: number
    readonly groove: {
      readonly kind: string
      readonly included_deg?: number
      readonly width?: number
      readonly floor: number
    }
    readonly ball_radius_m: number
    readonly k: number
    readonly c0: number
    readonly tau_s: number
    readonly length_m: number
    readonly centre_line_px: readonly (readonly [number, number])[]
  }[]
  readonly balls: readonly { readonly id: string; readonly lane: string; readonly direction: 'down' | 'up' }[]
  readonly frames: readonly {
    readonly i: number
    readonly t: number
    readonly balls: readonly {
      readonly id: string
      readonly t: number
      readonly s: number
      readonly v: number
      readonly x: number
      readonly y: number
      readonly state: string
    }[]
  }[]
}

export interface ClipRecordOptions {
  /** Marks on the exact projection instead of the middle of its pixel; stated scatter to match. */
  readonly exact?: boolean
  readonly every?: number
}

/**
 * The record that a careful person would make of a rendered clip: rectangle corners and lane ends placed to the nearest half pixel, every fourth
 * frame clicked to the whole pixel, slope by inclinometer to ± 0.1°, groove angle to ± 1°, rate to 0.1 %. `trueSpeed` is the clip's truth.
 */
export function clipRecord(
  truth: ClipTruthFile,
  options: ClipRecordOptions = {},
): {
  readonly record: SlowlaneRecord
  readonly trueSpeed: (runId: string, at_m: number) => number
} {
  const record = emptyRecord('clip', 'a rendered clip', '2026-01-01T00:00:00Z')
  const stated = (
    value: number,
    id: string,
    unit: Source['unit'],
    distribution: Distribution,
    relative = false,
  ): Stated => {
    record.sources[id] = { id, name: id, unit, distribution, ...(relative && { relative }) }
    return { value, sources: [id] }
  }
  const exact = (value: number): Stated => ({ value, sources: [] })
  // The renderer works with standard gravity.
  record.settings.gravity.g_m_s2 = exact(9.80665)
  const half = (value: number) => (options.exact ? value : Math.round(2 * value) / 2)
  const corner = (i: number) => ({
    x: half(truth.rectangle.corners_px[i]![0]),
    y: half(truth.rectangle.corners_px[i]![1]),
  })
  record.views['view'] = {
    id: 'view',
    name: 'camera',
    width: truth.image.width,
    height: truth.image.height,
    timebase: {
      kind: 'filmed-at',
      rate_hz: stated(truth.time.capture_fps, 'rate', 'Hz', { kind: 'rectangular', half: 0.001 }, true),
      spacing: 'even',
    },
    planes: {
      plane: {
        kind: 'rectangle',
        id: 'plane',
        name: 'plane of the lanes',
        corners: [corner(0), corner(1), corner(2), corner(3)],
        width_m: stated(truth.rectangle.width_m, 'width', 'm', { kind: 'rectangular', half: 0.0005 }),
        height_m: stated(truth.rectangle.height_m, 'height', 'm', { kind: 'rectangular', half: 0.0005 }),
        nearer_m: stated(0, 'depth', 'm', { kind: 'rectangular', half: 0.002 }),
      },
    },
    lens: { kind: 'typed', k1: exact(0) },
    gravity: [],
    lines: {},
    pitch_rad: exact(0),
    yaw_rad: exact(0),
    distance_m: exact(-truth.camera.position_m[1]!),
  }
  record.clips['clip'] = {
    id: 'clip',
    name: 'clip.mp4',
    size: 1,
    quickKey: 'none',
    container: 'mp4',
    codec: 'avc1',
    width: truth.image.width,
    height: truth.image.height,
    rotation: 0,
    turn: 0,
    frames: truth.time.frames,
    timescale: 15_360,
    firstTicks: 0,
    lastTicks: 512 * (truth.time.frames - 1),
    interval: { median: 512, least: 512, greatest: 512, uneven: 0 },
    timestampStep_s: 0,
    fileRate_hz: truth.time.playback_fps,
    filmingRateTag_hz: null,
    damage: null,
    viewId: 'view',
  }
  record.finishes['finish'] = { id: 'finish', name: 'as filmed', order: 0 }
  for (const lane of truth.lanes) {
    const id = lane.name
    const guide: Guide =
      lane.groove.kind === 'v'
        ? {
            kind: 'v-groove',
            included_rad: stated((lane.groove.included_deg! * Math.PI) / 180, `groove-${id}`, 'rad', {
              kind: 'rectangular',
              half: Math.PI / 180,
            }),
          }
        : { kind: 'slot', gap_m: stated(lane.groove.width!, `gap-${id}`, 'm', { kind: 'rectangular', half: 0.0002 }) }
    record.lanes[id] = { id, key: id, name: `lane ${id}`, guide, supports: [] }
    record.mountings[`on-${id}`] = {
      id: `on-${id}`,
      laneId: id,
      name: 'first mounting',
      slope: {
        kind: 'angle',
        angle_rad: stated(lane.theta_rad, `slope-${id}`, 'rad', { kind: 'rectangular', half: (0.1 * Math.PI) / 180 }),
      },
    }
    record.balls[`ball-${id}`] = {
      id: `ball-${id}`,
      name: 'ball',
      diameter_m: exact(2 * lane.ball_radius_m),
      material: 'steel',
    }
    const line = lane.centre_line_px
    record.views['view'].lines[id] = {
      laneId: id,
      planeId: 'plane',
      shape: 'straight',
      points: [line[0]!, line[line.length - 1]!].map(([x, y]) => ({ x: half(x), y: half(y) })),
    }
  }
  const pixel = (value: number) => (options.exact ? value : Math.floor(value) + 0.5)
  for (const ball of truth.balls) {
    const marks: Marks = { frame: [], ticks: [], x: [], y: [], sigma: [], origin: [], doubt: [] }
    for (const frame of truth.frames) {
      if (frame.i % (options.every ?? 4) !== 0) continue
      const seen = frame.balls.find(({ id, state }) => id === ball.id && state === 'visible')
      if (!seen) continue
      marks.frame.push(frame.i)
      marks.ticks.push(frame.i * 512)
      marks.x.push(pixel(seen.x))
      marks.y.push(pixel(seen.y))
      marks.sigma.push(record.settings.click_px)
      marks.origin.push('hand')
      marks.doubt.push(0)
    }
    record.runs[ball.id] = {
      id: ball.id,
      laneId: ball.lane,
      mountingId: `on-${ball.lane}`,
      viewId: 'view',
      clipId: 'clip',
      finishId: 'finish',
      ballId: `ball-${ball.lane}`,
      direction: ball.direction,
      marks,
    }
  }
  return {
    record,
    trueSpeed(runId, at_m) {
      const path = truth.frames.flatMap(({ balls }) => balls.filter(({ id }) => id === runId))
      for (let i = 1; i < path.length; i++) {
        const [a, b] = [path[i - 1]!, path[i]!]
        if ((a.s - at_m) * (b.s - at_m) > 0 || a.s === b.s) continue
        return Math.abs(a.v + ((b.v - a.v) * (at_m - a.s)) / (b.s - a.s))
      }
      throw new Error(`${runId} never passes ${at_m} m`)
    },
  }
}
