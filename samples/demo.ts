import { wood } from './generator/materials.ts'
import { seeded, seedOf, standardised } from './generator/random.ts'
import type { BallSpec, Furniture, LaneSpec, Scene, SensorSpec, Surface } from './generator/scene.ts'

/** The demo: return lanes of a rolling-ball clock, three of them on a test stand, filmed as cut and again after sanding. */

const phone: SensorSpec = { full_well: 15000, read_noise: 4, psf_px: 0.62, gain: 1.22 }

const steel: Surface = { kind: 'steel' }
/** Dark against the wall on its lit side too: both edges of the ball stand out. */
const blue: Surface = {
  kind: 'matt',
  colour: [0.028, 0.062, 0.16],
  gloss: 0.3,
  spots: { colour: [0.6, 0.54, 0.42], count: 11, radius_rad: 0.22 },
}
const red: Surface = {
  kind: 'matt',
  colour: [0.33, 0.035, 0.022],
  gloss: 0.45,
  spots: { colour: [0.62, 0.58, 0.5], count: 8, radius_rad: 0.22 },
}

type Finish = 'as cut' | 'sanded'

/** What five runs of a lane are to show: mean coefficient, their scatter, and how they are let go. */
interface Runs {
  readonly lane: string
  readonly radius_m: number
  readonly surface: Surface
  readonly first_s: number
  readonly every_s: number
  readonly v0_m_s: number
  readonly scatter_c: number
}

function fiveRuns(clip: string, runs: Runs): BallSpec[] {
  const random = seeded(seedOf(`${clip} ${runs.lane}`))
  const offsets = standardised(5, random)
  return offsets.map((offset, i) => ({
    id: `${runs.lane}${i + 1}`,
    lane: runs.lane,
    radius_m: runs.radius_m,
    surface: runs.surface,
    // A lifting wheel lets balls go nearly, not exactly, in step.
    release_s: runs.first_s + i * runs.every_s + 0.02 * random.gauss(),
    s0_m: -0.075,
    v0_m_s: runs.v0_m_s * (1 + 0.03 * random.gauss()),
    run_c: runs.scatter_c * offset,
    waits: false,
  }))
}

const stand: Furniture = {
  wall_y_m: 0.1,
  bench_z_m: 0.025,
  uprights: [0.085, 0.585].map((x_m, i) => ({
    x_m,
    width_m: 0.026,
    y_m: [0.03, 0.056] as const,
    top_m: 0.432,
    material: wood('walnut', 'oiled', 11 + i),
  })),
  bars: [{ from_m: [0.185, 0, 0.06], block_m: 0.06, blocks: 5, plane: 'lanes' }],
  rectangle: { low_m: [0.085, 0, 0.06], width_m: 0.5, height_m: 0.245, plane: 'lanes' },
  plumb: [{ top_m: [0.628, 0.02, 0.5], length_m: 0.235 }],
}

function lanes(finish: Finish): LaneSpec[] {
  const sanded = finish === 'sanded'
  const oak = (seed: number): LaneSpec['material'] => wood('oak', sanded ? 'sanded' : 'sawn', seed)
  const common = { finish, built_m: [-0.1, 0.76] as const, tau_s: 80, tag_m: 0.035 }
  return [
    {
      ...common,
      name: 'A',
      path: { kind: 'straight', start_m: [0, 0, 0.378], slope_deg: 1.8, heading_deg: 0, length_m: 0.67 },
      guide: { kind: 'v', included_deg: 90, rim: -0.48, lip_m: 0.004, floor_m: 0.009 },
      ball_radius_m: 0.008,
      c0: sanded ? 0.0064 : 0.0104,
      spots: [],
      material: oak(3),
    },
    {
      ...common,
      name: 'B',
      path: { kind: 'straight', start_m: [0, 0, 0.262], slope_deg: 2.3, heading_deg: 0, length_m: 0.67 },
      guide: { kind: 'v', included_deg: 100, rim: -0.52, lip_m: 0.004, floor_m: 0.008 },
      ball_radius_m: 0.009,
      c0: sanded ? 0.0071 : 0.0077,
      spots: [],
      material: oak(4),
    },
    {
      ...common,
      name: 'C',
      path: { kind: 'straight', start_m: [0, 0, 0.142], slope_deg: 1.15, heading_deg: 0, length_m: 0.67 },
      guide: { kind: 'v', included_deg: 110, rim: -0.55, lip_m: 0.005, floor_m: 0.008 },
      ball_radius_m: 0.0095,
      c0: sanded ? 0.0074 : 0.011,
      spots: [{ at_m: 0.39, sd_m: 0.016, added_c: sanded ? 0.004 : 0.0145 }],
      material: oak(5),
    },
  ]
}

function bench(name: string, title: string, finish: Finish): Scene {
  const sanded = finish === 'sanded'
  const balls = [
    ...fiveRuns(name, {
      lane: 'A',
      radius_m: 0.008,
      surface: steel,
      first_s: 0.08,
      every_s: 0.94,
      v0_m_s: 0.14,
      scatter_c: 0.00028,
    }),
    ...fiveRuns(name, {
      lane: 'B',
      radius_m: 0.009,
      surface: blue,
      first_s: 0.3,
      every_s: 0.9,
      v0_m_s: 0.15,
      scatter_c: 0.00045,
    }),
    ...fiveRuns(name, {
      lane: 'C',
      radius_m: 0.0095,
      surface: red,
      first_s: 0,
      every_s: 0.88,
      v0_m_s: 0.2,
      scatter_c: sanded ? 0.0006 : 0.0014,
    }),
  ]
  return {
    name,
    title,
    seed: sanded ? 502 : 501,
    image: { width: 1280, height: 720 },
    time: {
      capture_fps: 240,
      playback_fps: 30,
      frames: sanded ? 1530 : 1575,
      exposure_s: 1 / 1200,
      line_time_s: 0,
      rows_run: '+y',
      rate_tag: !sanded,
    },
    camera: { position_m: [0.335, -1.14, 0.352], yaw_deg: 0, pitch_deg: 7, roll_deg: 0, focal_px: 2080, k1: 0 },
    sensor: phone,
    lanes: lanes(finish),
    balls,
    furniture: stand,
    codec: { kind: 'h264-mp4', crf: 21, gop: 60 },
  }
}

/** Lane A again, from nearer: a ball sent up three times, which turns and comes back. */
function bothWays(): Scene {
  const lane = {
    ...lanes('sanded')[0]!,
    path: { kind: 'straight', start_m: [0, 0, 0.2], slope_deg: 1.8, heading_deg: 0, length_m: 0.6 },
  } as const
  const random = seeded(seedOf('both-ways'))
  const offsets = standardised(3, random)
  return {
    name: 'lane-a-both-ways',
    title: 'Lane A after sanding, a ball sent up three times and coming back',
    seed: 503,
    image: { width: 1280, height: 480 },
    time: {
      capture_fps: 120,
      playback_fps: 120,
      frames: 1600,
      exposure_s: 1 / 1000,
      line_time_s: 0,
      rows_run: '+y',
      rate_tag: false,
    },
    camera: { position_m: [0.3, -1, 0.3], yaw_deg: 0, pitch_deg: 6.5, roll_deg: 0, focal_px: 2020, k1: 0 },
    sensor: phone,
    lanes: [{ ...lane, tag_m: 0.05 }],
    balls: offsets.map((offset, i) => ({
      id: `A${i + 1}`,
      lane: 'A',
      radius_m: 0.008,
      surface: blue,
      release_s: i * 4.35,
      s0_m: 0.64,
      v0_m_s: -0.425 * (1 + 0.015 * random.gauss()),
      run_c: 0.00025 * offset,
      waits: false,
    })),
    furniture: {
      wall_y_m: 0.1,
      bench_z_m: 0.075,
      uprights: [0.085, 0.53].map((x_m, i) => ({
        x_m,
        width_m: 0.026,
        y_m: [0.03, 0.056] as const,
        top_m: 0.29,
        material: wood('walnut', 'oiled', 11 + i),
      })),
      bars: [{ from_m: [0.16, 0, 0.12], block_m: 0.06, blocks: 5, plane: 'lane A' }],
      rectangle: { low_m: [0.085, 0, 0.12], width_m: 0.445, height_m: 0.14, plane: 'lane A' },
      plumb: [],
    },
    codec: { kind: 'h264-mp4', crf: 21, gop: 60 },
  }
}

/** One lane through an older camera that writes Motion JPEG. */
function motionJpeg(): Scene {
  const b = lanes('sanded')[1]!
  return {
    name: 'lane-b-motion-jpeg',
    title: 'Lane B after sanding, Motion JPEG at 120 frames a second',
    seed: 504,
    image: { width: 640, height: 360 },
    time: {
      capture_fps: 120,
      playback_fps: 120,
      frames: 290,
      exposure_s: 1 / 1000,
      line_time_s: 0,
      rows_run: '+y',
      rate_tag: false,
    },
    camera: { position_m: [0.335, -1.1, 0.34], yaw_deg: 0, pitch_deg: 6.5, roll_deg: 0, focal_px: 1220, k1: 0 },
    sensor: { full_well: 9000, read_noise: 4, psf_px: 0.6, gain: 1.22 },
    lanes: [
      { ...b, path: { kind: 'straight', start_m: [0, 0, 0.25], slope_deg: 2.3, heading_deg: 0, length_m: 0.67 } },
    ],
    balls: [0, 1].map((i) => ({
      id: `B${i + 1}`,
      lane: 'B',
      radius_m: 0.009,
      surface: blue,
      release_s: i * 0.42,
      s0_m: -0.075,
      v0_m_s: 0.18,
      run_c: i * 0.0003,
      waits: false,
    })),
    furniture: {
      ...stand,
      bench_z_m: 0.11,
      uprights: stand.uprights.map((post, i) => ({ ...post, x_m: [0.12, 0.55][i]!, top_m: 0.33 })),
      bars: [{ from_m: [0.185, 0, 0.15], block_m: 0.06, blocks: 5, plane: 'lane B' }],
      rectangle: { low_m: [0.12, 0, 0.15], width_m: 0.43, height_m: 0.16, plane: 'lane B' },
      plumb: [],
    },
    codec: { kind: 'mjpeg-avi', quality: 6 },
  }
}

export const demoScenes: readonly Scene[] = [
  bench('lanes-as-cut', 'Lanes A, B and C as cut, five balls each', 'as cut'),
  bench('lanes-sanded', 'Lanes A, B and C after sanding, from the same place', 'sanded'),
  bothWays(),
  motionJpeg(),
]
