import { wood } from '../generator/materials.ts'
import type { Furniture, LaneSpec } from '../generator/scene.ts'
import { ballOn, lookingAt, plainLane, plainStand, scene } from './base.ts'

const ticked: LaneSpec = { ...plainLane, ticks: { every_m: 0.05, from_m: 0.05, to_m: 0.6 } }
/** The bar stands on the wall side, 40 mm farther from the camera than the ball. */
const barBehind: Partial<Furniture> = {
  bars: [{ from_m: [0.18, 0.04, 0.125], block_m: 0.06, blocks: 5, plane: '40 mm behind lane A' }],
}
const middle = [0.33, 0, 0.185] as const
/** Near and wide, where a lens bends most. */
const wide = { distance_m: 0.62, focal_px: 610 }

/** Scenes for planes, lens, parallax, plumb lines, curved lanes and shake. */
export const geometryScenes = [
  scene('square-on', 'Camera square to the lane: what the others are held against', { lanes: [ticked] }),
  scene('yaw-5', 'Camera turned 5° to the lane', {
    lanes: [ticked],
    camera: lookingAt(middle, 1.1, { yaw_deg: 5 }, 1080),
  }),
  scene('lens-k1', 'A lens with k1 = -0.1, near and wide', {
    lanes: [ticked],
    camera: lookingAt(middle, wide.distance_m, {}, wide.focal_px, -0.1),
  }),
  scene('bar-behind-40', 'The scale bar stands 40 mm behind the lane', { lanes: [ticked], furniture: barBehind }),
  scene('all-together', 'Turned 5°, k1 = -0.1, and the bar 40 mm behind', {
    lanes: [ticked],
    camera: lookingAt(middle, wide.distance_m, { yaw_deg: 5 }, wide.focal_px, -0.1),
    furniture: barBehind,
  }),
  scene('plumb-pitch-8', 'Two plumb lines, the camera looking down 8°', {
    image: { width: 1280, height: 720 },
    camera: lookingAt([0.33, 0, 0.2], 1.12, { pitch_deg: 8, roll_deg: 0.7 }, 2040),
    time: { frames: 240, capture_fps: 120, playback_fps: 30 },
    lanes: [
      {
        ...plainLane,
        path: { kind: 'straight', start_m: [0, 0, 0.13], slope_deg: 1.8, heading_deg: 0, length_m: 0.67 },
      },
    ],
    furniture: {
      bench_z_m: 0.02,
      uprights: plainStand.uprights.map((post) => ({ ...post, top_m: 0.42 })),
      bars: [{ from_m: [0.18, 0, 0.055], block_m: 0.06, blocks: 5, plane: 'lane A' }],
      rectangle: { low_m: [0.1, 0, 0.055], width_m: 0.46, height_m: 0.27, plane: 'lane A' },
      plumb: [
        { top_m: [0.245, 0, 0.46], length_m: 0.288 },
        { top_m: [0.42, 0, 0.46], length_m: 0.294 },
      ],
    },
  }),
  scene('shake', 'Filmed from the hand', { shake_rad: 0.0016, lanes: [ticked] }),
  scene('curved-ticks', 'A lane bent in an arc, seen from above, with a tape of ticks', {
    image: { width: 800, height: 400 },
    camera: lookingAt([0.33, 0.04, 0.2], 1.15, { pitch_deg: 24, yaw_deg: -3 }, 1300),
    lanes: [
      {
        ...plainLane,
        path: { kind: 'arc', start_m: [0, -0.03, 0.21], slope_deg: 2, heading_deg: -20, radius_m: 0.95, length_m: 0.7 },
        built_m: [-0.08, 0.78],
        material: wood('maple', 'sanded', 6),
        ticks: { every_m: 0.05, from_m: 0, to_m: 0.7 },
      },
    ],
    balls: [ballOn('A', { v0_m_s: 0.22 })],
    furniture: {
      wall_y_m: 0.3,
      uprights: [
        { x_m: 0.05, y_m: [-0.055, -0.035], top_m: 0.187 },
        { x_m: 0.32, y_m: [-0.097, -0.077], top_m: 0.178 },
        { x_m: 0.6, y_m: [-0.055, -0.035], top_m: 0.168 },
      ].map((post) => ({
        ...post,
        y_m: [post.y_m[0]!, post.y_m[1]!] as const,
        width_m: 0.02,
        material: wood('walnut', 'oiled', 12),
      })),
      bars: [{ from_m: [0.18, 0.12, 0.115], block_m: 0.06, blocks: 5, plane: 'behind the lane' }],
      // No plane holds a bent lane, its ticks do; the cards hang on the wall.
      rectangle: { low_m: [0.1, 0.268, 0.145], width_m: 0.46, height_m: 0.06, plane: 'wall' },
    },
  }),
]
