import {
  emptyRecord,
  type Ball,
  type Clip,
  type Distribution,
  type Guide,
  type Marks,
  type Run,
  type Slope,
  type SlowlaneRecord,
  type Source,
  type Stated,
  type View,
} from '../../workers/record/index.ts'

/** A pinhole camera before the plane in which the lanes' ball centres lie: X to the right, Z up [m]; pixels x right, y down. */
export interface Pinhole {
  readonly width: number
  readonly height: number
  /** Metres per pixel where the axis meets the plane. */
  readonly mPerPx: number
  readonly distance_m: number
  /** Place on the plane that the axis meets [m]. */
  readonly lookX_m: number
  readonly lookZ_m: number
  /** Looking down [rad]; turned to the right [rad]. */
  readonly pitch_rad: number
  readonly yaw_rad: number
}

export const standardCamera: Pinhole = {
  width: 1280,
  height: 720,
  mPerPx: 0.00055,
  distance_m: 1.1,
  lookX_m: 0.33,
  lookZ_m: 0.2,
  pitch_rad: (6 * Math.PI) / 180,
  yaw_rad: 0,
}

/** Where a place of the plane is seen [px]. */
export function seenAt(camera: Pinhole, x_m: number, z_m: number): { x: number; y: number } {
  const focal = camera.distance_m / camera.mPerPx
  const [cp, sp] = [Math.cos(camera.pitch_rad), Math.sin(camera.pitch_rad)]
  const [cy, sy] = [Math.cos(camera.yaw_rad), Math.sin(camera.yaw_rad)]
  // Axes of the camera in the world (x right, y away from the camera, z up): forward looks down by the pitch and right by the yaw.
  const forward = [sy * cp, cy * cp, -sp] as const
  const right = [cy, -sy, 0] as const
  const down = [-sy * sp, -cy * sp, -cp] as const
  const dx = x_m - camera.lookX_m
  const dz = z_m - camera.lookZ_m
  const depth = camera.distance_m + dx * forward[0] + dz * forward[2]
  return {
    x: camera.width / 2 + (focal * (dx * right[0])) / depth,
    y: camera.height / 2 + (focal * (dx * down[0] + dz * down[2])) / depth,
  }
}

export interface LaneOptions {
  readonly key?: string
  readonly guide?: Guide
  readonly length_m?: number
  readonly slope_rad?: number
  /** Stated slope of the mounting; by default the true angle with no uncertainty. */
  readonly slope?: Slope
  readonly diameter_m?: Stated
  /** Where the lane starts on the plane [m]. */
  readonly x_m?: number
  readonly z_m?: number
}

export interface RunOptions {
  readonly lane?: string
  readonly finish?: string
  readonly mounting?: string
  readonly ball?: string
  readonly direction?: Run['direction']
  /** Position [m] along the lane at time t [s] from the first frame. */
  readonly s: (t_s: number) => number
  /** First and last frame, and the step between marked ones. */
  readonly from?: number
  readonly to: number
  readonly every?: number
  /** Added to each mark's place along the lane and across it [px]. */
  readonly noise_px?: (mark: number) => readonly [along: number, across: number]
  readonly round?: boolean
  readonly sigma_px?: number
}

export interface ViewOptions {
  readonly camera?: Pinhole
  readonly rate_hz?: Stated
  /** Frames per second the truth is sampled at; by default the stated rate. */
  readonly trueRate_hz?: number
  /** Size of the rectangle and where its lower left corner is [m]. */
  readonly rectangle?: {
    readonly width: Stated
    readonly height: Stated
    readonly trueWidth_m?: number
    readonly trueHeight_m?: number
    readonly x_m?: number
    readonly z_m?: number
  }
  readonly nearer_m?: Stated
  readonly placing_px?: number
  readonly edit?: (view: View) => void
}

const exactly = (value: number): Stated => ({ value, sources: [] })

/**
 * Builds records for tests: one camera before a plane with a rectangle of known size, lanes on it, runs whose marks are the exact projections of a
 * motion s(t), with noise or rounding where asked. The record is a valid one; everything may be edited afterwards through `record`.
 */
export class RecordBuilder {
  readonly record: SlowlaneRecord
  camera: Pinhole
  private rate_hz: number
  private readonly places = new Map<string, { x: number; z: number; slope: number }>()

  constructor(options: ViewOptions = {}) {
    this.record = emptyRecord('test', 'a record made for a test', '2026-01-01T00:00:00Z')
    this.record.sources = {}
    this.record.settings.gravity.g_m_s2 = exactly(9.80665)
    this.record.settings.placing_px = options.placing_px ?? 0.3
    this.camera = options.camera ?? standardCamera
    const rate = options.rate_hz ?? exactly(240)
    this.rate_hz = options.trueRate_hz ?? rate.value
    const {
      width,
      height,
      x_m = 0.12,
      z_m = 0.05,
      trueWidth_m,
      trueHeight_m,
    } = options.rectangle ?? {
      width: exactly(0.42),
      height: exactly(0.285),
    }
    const w = trueWidth_m ?? width.value
    const h = trueHeight_m ?? height.value
    const corner = (dx: number, dz: number) => seenAt(this.camera, x_m + dx, z_m + dz)
    const view: View = {
      id: 'view',
      name: 'camera',
      width: this.camera.width,
      height: this.camera.height,
      timebase: { kind: 'filmed-at', rate_hz: rate, spacing: 'even' },
      planes: {
        plane: {
          kind: 'rectangle',
          id: 'plane',
          name: 'plane of the lanes',
          corners: [corner(0, 0), corner(w, 0), corner(w, h), corner(0, h)],
          width_m: width,
          height_m: height,
          nearer_m: options.nearer_m ?? exactly(0),
        },
      },
      gravity: [],
      lines: {},
      pitch_rad: exactly(0),
      yaw_rad: exactly(0),
      distance_m: exactly(this.camera.distance_m),
    }
    options.edit?.(view)
    this.record.views['view'] = view
    this.record.clips['clip'] = clipOf(this.camera)
    this.record.finishes['cut'] = { id: 'cut', name: 'as cut', order: 0 }
  }

  /** Registers a source and gives a value that names it. Further values may name the same one. */
  stated(value: number, id: string, distribution: Distribution, more: Partial<Source> = {}): Stated {
    this.record.sources[id] ??= { id, name: id, unit: '1', distribution, ...more }
    return { value, sources: [id] }
  }

  /** A lane, its mounting `on-<lane>` and its ball `ball-<lane>`. */
  lane(id: string, options: LaneOptions = {}): this {
    const { length_m = 0.66, slope_rad = (2 * Math.PI) / 180, x_m = 0.02, z_m = 0.3 } = options
    const guide: Guide = options.guide ?? { kind: 'v-groove', included_rad: exactly(Math.PI / 2) }
    this.places.set(id, { x: x_m, z: z_m, slope: slope_rad })
    this.record.lanes[id] = { id, key: options.key ?? id, name: `lane ${id}`, guide, supports: [] }
    this.record.mountings[`on-${id}`] = {
      id: `on-${id}`,
      laneId: id,
      name: 'first mounting',
      slope: options.slope ?? { kind: 'angle', angle_rad: exactly(slope_rad) },
    }
    const ball: Ball = {
      id: `ball-${id}`,
      name: 'steel ball',
      diameter_m: options.diameter_m ?? exactly(0.01905),
      material: 'steel',
    }
    this.record.balls[ball.id] = ball
    this.record.views['view']!.lines[id] = {
      laneId: id,
      planeId: 'plane',
      shape: 'straight',
      points: [this.at(id, 0), this.at(id, length_m)],
    }
    return this
  }

  finish(id: string, order: number): this {
    this.record.finishes[id] = { id, name: id, order }
    return this
  }

  /** Another fixing of a lane, with its own slope. */
  mounting(id: string, lane: string, slope: Slope): this {
    this.record.mountings[id] = { id, laneId: lane, name: id, slope }
    return this
  }

  /** Where the ball's centre is seen at arc length s of a lane [px]. */
  at(lane: string, s_m: number): { x: number; y: number } {
    const place = this.places.get(lane)
    if (!place) throw new Error(`no lane ${lane}`)
    return seenAt(this.camera, place.x + s_m * Math.cos(place.slope), place.z - s_m * Math.sin(place.slope))
  }

  /** A run; its id counts up from `run1`. */
  run(options: RunOptions): this {
    const lane = options.lane ?? Object.keys(this.record.lanes)[0]
    if (lane === undefined) throw new Error('a run needs a lane')
    const id = `run${Object.keys(this.record.runs).length + 1}`
    const marks: Marks = { frame: [], ticks: [], x: [], y: [], sigma: [], origin: [], doubt: [] }
    const ends = [this.at(lane, 0), this.at(lane, 0.5)] as const
    const length = Math.hypot(ends[1].x - ends[0].x, ends[1].y - ends[0].y)
    const along = [(ends[1].x - ends[0].x) / length, (ends[1].y - ends[0].y) / length] as const
    for (let frame = options.from ?? 0, k = 0; frame <= options.to; frame += options.every ?? 4, k++) {
      const place = this.at(lane, options.s(frame / this.rate_hz))
      const [noiseAlong, noiseAcross] = options.noise_px?.(k) ?? [0, 0]
      const x = place.x + noiseAlong * along[0] - noiseAcross * along[1]
      const y = place.y + noiseAlong * along[1] + noiseAcross * along[0]
      marks.frame.push(frame)
      marks.ticks.push(frame * 512)
      marks.x.push(options.round ? Math.floor(x) + 0.5 : x)
      marks.y.push(options.round ? Math.floor(y) + 0.5 : y)
      marks.sigma.push(options.sigma_px ?? this.record.settings.click_px)
      marks.origin.push('hand')
      marks.doubt.push(0)
    }
    this.record.runs[id] = {
      id,
      laneId: lane,
      mountingId: options.mounting ?? `on-${lane}`,
      viewId: 'view',
      clipId: 'clip',
      finishId: options.finish ?? 'cut',
      ballId: options.ball ?? `ball-${lane}`,
      direction: options.direction ?? 'down',
      marks,
    }
    return this
  }
}

function clipOf(camera: Pinhole): Clip {
  return {
    id: 'clip',
    name: 'clip.mp4',
    size: 1_000_000,
    quickKey: 'none',
    container: 'mp4',
    codec: 'avc1',
    width: camera.width,
    height: camera.height,
    rotation: 0,
    turn: 0,
    frames: 10_000,
    timescale: 15_360,
    firstTicks: 0,
    lastTicks: 512 * 9_999,
    interval: { median: 512, least: 512, greatest: 512, uneven: 0 },
    timestampStep_s: 0,
    fileRate_hz: 30,
    filmingRateTag_hz: null,
    damage: null,
    viewId: 'view',
  }
}

/** Position of a ball at constant acceleration. */
export function constantAcceleration(s0_m: number, v0_m_s: number, a_m_s2: number): (t_s: number) => number {
  return (t) => s0_m + v0_m_s * t + 0.5 * a_m_s2 * t * t
}
