import { wood } from '../generator/materials.ts'
import type { LaneSpec } from '../generator/scene.ts'
import {
  ballOn,
  dark,
  glass,
  lookingAt,
  plainLane,
  plainRed,
  plainStand,
  quietSensor,
  scene,
  spotted,
  steel,
  pale,
} from './base.ts'
import { steepLane } from './time.ts'

const large = { image: { width: 960, height: 480 }, camera: lookingAt([0.33, 0, 0.185], 1.1, {}, 1620) } as const
const sawn: LaneSpec = { ...plainLane, finish: 'as cut', c0: 0.0098, material: wood('oak', 'sawn', 3) }
const rods: LaneSpec = { ...plainLane, guide: { kind: 'rods', rod_radius_m: 0.002, apart_m: 0.01 } }
const post = {
  width_m: 0.03,
  y_m: [-0.06, -0.045] as const,
  top_m: 0.36,
  material: wood('beech', 'sanded', 21),
  hides: true,
}

/** Scenes for settling, following and finding balls. */
export const followingScenes = [
  scene('clean', 'One spotted ball, nothing in the way', large),
  scene('steel-on-sawn', 'A steel ball on saw-marked wood', {
    ...large,
    lanes: [sawn],
    balls: [ballOn('A', { surface: steel })],
  }),
  scene('dark-ball', 'A dark glossy ball', { ...large, balls: [ballOn('A', { surface: dark })] }),
  scene('pale-ball', 'A ball as bright as the wall on its shaded side', {
    ...large,
    balls: [ballOn('A', { surface: pale })],
  }),
  scene('seven-balls', 'Seven balls in the lane at once', {
    ...large,
    balls: Array.from({ length: 8 }, (_, i) =>
      ballOn('A', {
        id: `A${i + 1}`,
        surface: [spotted, plainRed, steel, dark][i % 4]!,
        s0_m: -0.06,
        v0_m_s: 0.2,
        release_s: i * 0.27 + 0.013 * ((i * 5) % 3),
        run_c: 0.0002 * ((i % 3) - 1),
      }),
    ),
    time: { frames: 900 },
  }),
  scene('posts', 'Two posts stand in front of the lane', {
    ...large,
    furniture: { uprights: [...plainStand.uprights, { ...post, x_m: 0.25 }, { ...post, x_m: 0.45 }] },
  }),
  ...['glass', 'glass-second-wall', 'glass-third-wall'].map((name) =>
    scene(name, 'A glass ball on two steel rods', {
      ...large,
      lanes: [rods],
      balls: [ballOn('A', { surface: glass })],
    }),
  ),
  scene('blur-20', 'A long exposure: the ball smears over about 20 px', {
    ...large,
    lanes: [steepLane],
    balls: [ballOn('A', { s0_m: -0.1, v0_m_s: 1.3 })],
    time: { capture_fps: 120, playback_fps: 30, frames: 80, exposure_s: 9e-3 },
  }),
  scene('noise', 'Little light: a noisy picture', {
    ...large,
    sensor: { ...quietSensor, full_well: 1000, read_noise: 8 },
    codec: { kind: 'h264-mp4', crf: 21, gop: 30 },
  }),
  scene('motion-jpeg', 'Motion JPEG', {
    time: { capture_fps: 120, playback_fps: 120, frames: 215 },
    codec: { kind: 'mjpeg-avi', quality: 5 },
  }),
  scene('no-ball', 'A lane and nothing on it', { balls: [], time: { frames: 240 } }),
  scene('hand-through', 'A hand reaches through the picture after the ball', {
    time: { frames: 620 },
    furniture: {
      hand: {
        from_s: 1.5,
        to_s: 2.5,
        path_m: [
          [0.62, -0.05, 0.62],
          [0.5, -0.04, 0.33],
          [0.34, -0.04, 0.29],
          [0.2, -0.05, 0.6],
        ],
      },
    },
  }),
  scene('touching-balls', 'Two balls that touch all the way', {
    ...large,
    balls: [
      ballOn('A', { id: 'A1', s0_m: -0.024, surface: plainRed }),
      ballOn('A', { id: 'A2', s0_m: -0.04005, surface: spotted }),
    ],
  }),
  scene('oblique-20', 'Camera turned 20° to the lane', {
    ...large,
    camera: lookingAt([0.33, 0, 0.185], 1.1, { yaw_deg: 20 }, 1620),
  }),
  scene('stall', 'A ball that stops on a slow spot and stays', {
    lanes: [{ ...plainLane, spots: [{ at_m: 0.42, sd_m: 0.02, added_c: 0.12 }] }],
    balls: [ballOn('A', { v0_m_s: 0.14 })],
    time: { frames: 720 },
  }),
  scene('slip', 'A ball that turns a tenth too little', { ...large, balls: [ballOn('A', { turning: 0.9 })] }),
  scene('up-and-back', 'A ball sent up that comes back', {
    balls: [ballOn('A', { s0_m: 0.71, v0_m_s: -0.44 })],
    time: { frames: 1180 },
  }),
]
