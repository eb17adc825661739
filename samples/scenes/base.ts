import { cameraAxes, type CameraSpec } from '../generator/camera.ts'
import { wood } from '../generator/materials.ts'
import { seedOf } from '../generator/random.ts'
import type { BallSpec, Furniture, LaneSpec, Scene, SensorSpec, Surface, Timing } from '../generator/scene.ts'
import { along, type Vec3 } from '../generator/vector.ts'

export const spotted: Surface = {
  kind: 'matt',
  colour: [0.028, 0.062, 0.16],
  gloss: 0.3,
  spots: { colour: [0.6, 0.54, 0.42], count: 11, radius_rad: 0.22 },
}
/** As bright as the wall on its shaded side: one edge all but vanishes. */
export const pale: Surface = {
  kind: 'matt',
  colour: [0.62, 0.55, 0.4],
  gloss: 0.25,
  spots: { colour: [0.02, 0.045, 0.13], count: 11, radius_rad: 0.24 },
}
export const steel: Surface = { kind: 'steel' }
export const plainRed: Surface = { kind: 'matt', colour: [0.33, 0.035, 0.022], gloss: 0.45 }
export const dark: Surface = { kind: 'matt', colour: [0.025, 0.025, 0.028], gloss: 0.6 }
export const glass: Surface = { kind: 'glass', tint: [0.86, 0.97, 0.9] }

/** A camera at `distance_m` from a point of the scene, turned and tilted, looking straight at it. */
export function lookingAt(
  target: Vec3,
  distance_m: number,
  turn: { readonly yaw_deg?: number; readonly pitch_deg?: number; readonly roll_deg?: number },
  focal_px: number,
  k1 = 0,
): CameraSpec {
  const angles = { yaw_deg: 0, pitch_deg: 6, roll_deg: 0, ...turn }
  const [, , forward] = cameraAxes(angles)
  return { position_m: along(target, forward, -distance_m), ...angles, focal_px, k1 }
}

export const quietSensor: SensorSpec = { full_well: 12000, read_noise: 4, psf_px: 0.6, gain: 1.22 }

/** The one lane that most scenes use: a 90° groove, 1.8°, a 16 mm ball, dry resistance only. */
export const plainLane: LaneSpec = {
  name: 'A',
  finish: 'sanded',
  path: { kind: 'straight', start_m: [0, 0, 0.2], slope_deg: 1.8, heading_deg: 0, length_m: 0.67 },
  built_m: [-0.1, 0.76],
  guide: { kind: 'v', included_deg: 90, rim: -0.48, lip_m: 0.004, floor_m: 0.009 },
  ball_radius_m: 0.008,
  c0: 0.0072,
  tau_s: Infinity,
  spots: [],
  material: wood('oak', 'sanded', 3),
  tag_m: 0.05,
}

export function ballOn(lane: string, changes: Partial<BallSpec> = {}): BallSpec {
  return {
    id: `${lane}1`,
    lane,
    radius_m: 0.008,
    surface: spotted,
    release_s: 0,
    s0_m: -0.04,
    v0_m_s: 0.26,
    run_c: 0,
    waits: false,
    ...changes,
  }
}

export const plainStand: Furniture = {
  wall_y_m: 0.1,
  bench_z_m: 0.09,
  uprights: [0.1, 0.56].map((x_m, i) => ({
    x_m,
    width_m: 0.024,
    y_m: [0.03, 0.056] as const,
    top_m: 0.285,
    material: wood('walnut', 'oiled', 11 + i),
  })),
  bars: [{ from_m: [0.18, 0, 0.125], block_m: 0.06, blocks: 5, plane: 'lane A' }],
  rectangle: { low_m: [0.1, 0, 0.125], width_m: 0.46, height_m: 0.13, plane: 'lane A' },
}

export const plainTime: Timing = {
  capture_fps: 240,
  playback_fps: 30,
  frames: 430,
  exposure_s: 1 / 1500,
  line_time_s: 0,
  rows_run: '+y',
  rate_tag: false,
}

/** A scene like the others except for what is named. */
export function scene(
  name: string,
  title: string,
  changes: Partial<Omit<Scene, 'name' | 'title' | 'time' | 'furniture'>> & {
    readonly time?: Partial<Timing>
    readonly furniture?: Partial<Furniture>
  } = {},
): Scene {
  const { time, furniture, ...rest } = changes
  return {
    name,
    title,
    seed: seedOf(name),
    image: { width: 640, height: 320 },
    camera: lookingAt([0.33, 0, 0.185], 1.1, {}, 1080),
    sensor: quietSensor,
    lanes: [plainLane],
    balls: [ballOn('A')],
    codec: { kind: 'h264-mp4', crf: 20, gop: 30 },
    ...rest,
    time: { ...plainTime, ...time },
    furniture: { ...plainStand, ...furniture },
  }
}
