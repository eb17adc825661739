import type { CameraSpec } from './camera.ts'
import type { Guide } from './guide.ts'
import type { Colour, Material } from './materials.ts'
import type { SlowSpot } from './motion.ts'
import type { PathSpec } from './path.ts'
import type { Vec3 } from './vector.ts'

export type Surface =
  | { readonly kind: 'steel' }
  | { readonly kind: 'glass'; readonly tint: Colour }
  | {
      readonly kind: 'matt'
      readonly colour: Colour
      /** 0 chalk … 1 lacquer. */
      readonly gloss: number
      readonly spots?: { readonly colour: Colour; readonly count: number; readonly radius_rad: number }
    }

export interface BallSpec {
  readonly id: string
  readonly lane: string
  readonly radius_m: number
  readonly surface: Surface
  readonly release_s: number
  readonly s0_m: number
  readonly v0_m_s: number
  /** Added to the lane's coefficient for this run: no two passages are alike. */
  readonly run_c: number
  /** Seen resting at its start before the release. */
  readonly waits: boolean
  /** Turning over rolling: 1 without slip. */
  readonly turning?: number
}

export interface LaneSpec {
  readonly name: string
  readonly finish: string
  readonly path: PathSpec
  /** Stretch of the path that is built in wood or steel. */
  readonly built_m: readonly [number, number]
  readonly guide: Guide
  readonly ball_radius_m: number
  readonly c0: number
  readonly tau_s: number
  readonly spots: readonly SlowSpot[]
  readonly material: Material
  /** A paper tag with the lane's letter at this s. */
  readonly tag_m?: number
  /** A tape of ticks on the front edge. */
  readonly ticks?: { readonly every_m: number; readonly from_m: number; readonly to_m: number }
}

export interface UprightSpec {
  readonly x_m: number
  readonly width_m: number
  /** Front and back face. */
  readonly y_m: readonly [number, number]
  readonly top_m: number
  /** Foot; the bench top when absent. */
  readonly foot_m?: number
  readonly material: Material
  /** Stands in front of the lanes on purpose. */
  readonly hides?: boolean
}

export interface Furniture {
  readonly wall_y_m: number
  readonly bench_z_m: number
  readonly uprights: readonly UprightSpec[]
  readonly bars: readonly {
    readonly from_m: Vec3
    readonly block_m: number
    readonly blocks: number
    readonly plane: string
  }[]
  readonly rectangle?: {
    readonly low_m: Vec3
    readonly width_m: number
    readonly height_m: number
    readonly plane: string
  }
  readonly plumb?: readonly { readonly top_m: Vec3; readonly length_m: number }[]
  /** A small lamp that blinks: half of each period on. */
  readonly lamp?: { readonly centre_m: Vec3; readonly radius_m: number; readonly rate_hz: number }
  /** A gloved hand that reaches in: position of the wrist at two times. */
  readonly hand?: { readonly from_s: number; readonly to_s: number; readonly path_m: readonly Vec3[] }
}

/** How the file is written. */
export type Codec =
  | { readonly kind: 'h264-mp4'; readonly crf: number; readonly gop: number }
  | { readonly kind: 'mjpeg-avi'; readonly quality: number }

export interface Timing {
  readonly capture_fps: number
  /** What the file claims. */
  readonly playback_fps: number
  readonly frames: number
  readonly exposure_s: number
  /** Time from one sensor row to the next [s], and which way across the picture the rows follow one another. */
  readonly line_time_s: number
  readonly rows_run: '+x' | '-x' | '+y' | '-y'
  /** Write the capture rate into the file, as phones do. */
  readonly rate_tag: boolean
  /** Frames between these two play slowly, the others at their true speed: a slow-motion ramp baked into the file. */
  readonly ramp?: { readonly slow_from: number; readonly slow_to: number }
  /** Only every n-th frame was filmed; those between are invented by blending. */
  readonly real_every?: number
}

export interface SensorSpec {
  /** Light-electrons at white: the more, the less noise. */
  readonly full_well: number
  readonly read_noise: number
  readonly psf_px: number
  readonly gain: number
  /** Light that pulses with the mains. */
  readonly flicker?: { readonly rate_hz: number; readonly depth: number }
}

export interface Scene {
  readonly name: string
  readonly title: string
  readonly seed: number
  readonly image: { readonly width: number; readonly height: number }
  readonly time: Timing
  readonly camera: CameraSpec
  /** Hand-held: standard deviation of the turn about each axis [rad]. */
  readonly shake_rad?: number
  readonly sensor: SensorSpec
  readonly lanes: readonly LaneSpec[]
  readonly balls: readonly BallSpec[]
  readonly furniture: Furniture
  readonly codec: Codec
}
