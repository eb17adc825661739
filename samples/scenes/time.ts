import type { LaneSpec } from '../generator/scene.ts'
import { ballOn, lookingAt, plainLane, scene, steel } from './base.ts'

/** Steep and quick: what the sensor's rows and a long exposure do to a fast ball. */
export const steepLane: LaneSpec = {
  ...plainLane,
  path: { kind: 'straight', start_m: [0, 0, 0.225], slope_deg: 6, heading_deg: 0, length_m: 0.67 },
}

/** Scenes for rates, shutters, lamps and timestamps. */
export const timeScenes = [
  scene('rolling-shutter', 'Rows that follow one another along the lane, 8 ms from first to last', {
    lanes: [steepLane],
    balls: [
      ballOn('A', { s0_m: -0.1, v0_m_s: 0.85 }),
      ballOn('A', { id: 'A2', s0_m: -0.1, v0_m_s: 1, release_s: 0.8 }),
    ],
    time: {
      capture_fps: 120,
      playback_fps: 120,
      frames: 210,
      exposure_s: 1 / 2500,
      line_time_s: 8e-3 / 640,
      rows_run: '+x',
    },
  }),
  scene('baked-ramp', 'A phone that slows its file down between two moments', {
    balls: [ballOn('A', { release_s: 0.15 })],
    time: { frames: 480, ramp: { slow_from: 96, slow_to: 400 } },
  }),
  scene('blinking-lamp', 'A lamp that blinks 8 times a second', {
    time: { frames: 480, exposure_s: 1 / 1000 },
    furniture: { lamp: { centre_m: [0.62, 0, 0.245], radius_m: 0.005, rate_hz: 8 } },
  }),
  scene('free-fall', 'A steel ball dropped beside the scale', {
    image: { width: 480, height: 640 },
    camera: lookingAt([0.33, 0, 0.3], 1.3, { pitch_deg: 3 }, 1560),
    lanes: [
      {
        ...plainLane,
        name: 'fall',
        finish: 'free fall',
        path: { kind: 'fall', start_m: [0.33, 0, 0.55], length_m: 0.5 },
        built_m: [-0.02, 0.45],
        guide: { kind: 'none' },
        c0: 0,
      },
    ],
    balls: [ballOn('fall', { surface: steel, s0_m: 0, v0_m_s: 0, release_s: 0.05, waits: true })],
    time: { frames: 84, exposure_s: 1 / 4000 },
    furniture: {
      uprights: [],
      bars: [{ from_m: [0.2, 0, 0.1], block_m: 0.05, blocks: 5, plane: 'fall' }],
      rectangle: { low_m: [0.2, 0, 0.14], width_m: 0.26, height_m: 0.35, plane: 'fall' },
    },
  }),
  scene('mains-flicker', 'A lamp that pulses 100 times a second', {
    sensor: { full_well: 12000, read_noise: 4, psf_px: 0.6, gain: 1.1, flicker: { rate_hz: 100, depth: 0.16 } },
  }),
  scene('invented-frames', 'Filmed at 60, three frames in four invented by blending', {
    time: { frames: 425, capture_fps: 240, real_every: 4, exposure_s: 1 / 500 },
  }),
]
