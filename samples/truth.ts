import { readFile } from 'node:fs/promises'
import * as z from 'zod'
import type { Guide } from './generator/guide.ts'
import type { PathSpec } from './generator/path.ts'
import type { CameraSpec } from './generator/camera.ts'
import type { Codec, SensorSpec, Timing } from './generator/scene.ts'
import type { SlowSpot } from './generator/motion.ts'
import type { Vec3 } from './generator/vector.ts'

/** A point of the scene and where it is seen. */
export interface PlacedPoint {
  readonly at_m: Vec3
  readonly px: readonly [number, number]
  /** Distance along the optical axis. */
  readonly depth_m: number
}

export interface TruthLane {
  readonly name: string
  readonly finish: string
  readonly slope_rad: number
  readonly slope_deg: number
  readonly path: PathSpec
  readonly guide: Guide
  readonly ball_radius_m: number
  readonly r_e_m: number
  readonly k: number
  readonly c0: number
  /** null: no part that grows with speed. */
  readonly tau_s: number | null
  readonly slow_spots: readonly SlowSpot[]
  readonly a_clear_m_s2: number
  readonly length_m: number
  readonly centre_line: readonly (PlacedPoint & { readonly s_m: number })[]
  readonly ticks: readonly { readonly s_m: number; readonly tape: PlacedPoint; readonly centre: PlacedPoint }[]
}

export interface TruthTrack {
  readonly ball: string
  readonly frames: readonly number[]
  readonly columns: Readonly<Record<string, readonly number[]>>
  readonly states: readonly (readonly [string, number])[]
}

/** What the generator writes: columns of whole numbers per ball. */
export interface CompactTruth {
  readonly what: string
  readonly version: 2
  readonly name: string
  readonly title: string
  readonly seed: number
  readonly conventions: Readonly<Record<string, string>>
  readonly units: Readonly<Record<string, { readonly per: number; readonly unit: string }>>
  readonly image: { readonly width: number; readonly height: number }
  readonly time: Timing & { readonly seconds_per_frame: number; readonly first_frame_t: number }
  readonly codec: Codec
  readonly camera: CameraSpec & {
    readonly world_to_camera: readonly [Vec3, Vec3, Vec3]
    readonly principal_px: readonly [number, number]
    readonly distortion: string
    readonly shake_rad: number
  }
  readonly sensor: SensorSpec
  readonly bars: readonly {
    readonly length_m: number
    readonly plane: string
    readonly ends: readonly [PlacedPoint, PlacedPoint]
  }[]
  readonly rectangle?: {
    readonly width_m: number
    readonly height_m: number
    readonly plane: string
    /** Bottom left, bottom right, top right, top left. */
    readonly corners: readonly PlacedPoint[]
  }
  readonly straight_edges: readonly { readonly name: string; readonly points: readonly PlacedPoint[] }[]
  readonly plumb_lines: readonly { readonly ends: readonly [PlacedPoint, PlacedPoint] }[]
  readonly lamp?: { readonly rate_hz: number; readonly centre: PlacedPoint; readonly radius_px: number }
  readonly hand?: { readonly from_s: number; readonly to_s: number }
  readonly lanes: readonly TruthLane[]
  readonly balls: readonly {
    readonly id: string
    readonly lane: string
    readonly radius_m: number
    readonly surface: string
    readonly spots: number
    readonly release_s: number
    readonly s0_m: number
    readonly v0_m_s: number
    readonly c: number
    readonly waits: boolean
    readonly turning: number
  }[]
  readonly tracks: readonly TruthTrack[]
}

type Pixel = readonly [number, number]

/** One ball's true way through a clip, a value per frame in which it is in the picture. */
export interface Track {
  readonly ball: string
  readonly lane: string
  readonly frame: readonly number[]
  readonly t: readonly number[]
  readonly s: readonly number[]
  readonly v: readonly number[]
  readonly x: readonly number[]
  readonly y: readonly number[]
  /** Centroid of the outline. */
  readonly ox: readonly number[]
  readonly oy: readonly number[]
  readonly r: readonly number[]
  readonly seen: readonly number[]
  readonly post: readonly number[]
  readonly state: readonly string[]
}

/** The truth of a clip, whichever form its file has. */
export interface Truth {
  readonly name: string
  readonly image: { readonly width: number; readonly height: number }
  readonly capture_fps: number
  readonly playback_fps: number
  readonly frames: number
  readonly lanes: readonly {
    readonly name: string
    readonly finish: string
    readonly slope_rad: number
    readonly ball_radius_m: number
    readonly r_e_m: number
    readonly k: number
    readonly c0: number
    readonly tau_s: number | null
    readonly line_px: readonly Pixel[]
    /** Ticks at known arc length: where they are on the tape, and where the ball's centre is at that s. */
    readonly ticks: readonly { readonly s_m: number; readonly tape_px: Pixel; readonly centre_px: Pixel }[]
  }[]
  readonly bars: readonly { readonly length_m: number; readonly ends_px: readonly [Pixel, Pixel] }[]
  readonly rectangle: {
    readonly width_m: number
    readonly height_m: number
    readonly corners_px: readonly Pixel[]
  } | null
  readonly plumb_lines: readonly { readonly ends_px: readonly [Pixel, Pixel] }[]
  /** Edges that are straight in the scene, as they are seen. Empty in the wide form. */
  readonly straight_edges: readonly { readonly name: string; readonly px: readonly Pixel[] }[]
  readonly tracks: readonly Track[]
}

const pixel = z.tuple([z.number(), z.number()])
const laneFields = {
  name: z.string(),
  finish: z.string(),
  ball_radius_m: z.number(),
  r_e_m: z.number(),
  k: z.number(),
  c0: z.number(),
  tau_s: z.number().nullable(),
}
const placed = z.object({ px: pixel })
const image = z.object({ width: z.number(), height: z.number() })
const time = z.object({ capture_fps: z.number(), playback_fps: z.number(), frames: z.number() })

const compactForm = z.object({
  version: z.literal(2),
  name: z.string(),
  units: z.record(z.string(), z.object({ per: z.number() })),
  image,
  time,
  bars: z.array(z.object({ length_m: z.number(), ends: z.tuple([placed, placed]) })),
  rectangle: z.object({ width_m: z.number(), height_m: z.number(), corners: z.array(placed) }).optional(),
  plumb_lines: z.array(z.object({ ends: z.tuple([placed, placed]) })),
  straight_edges: z.array(z.object({ name: z.string(), points: z.array(placed) })).default([]),
  lanes: z.array(
    z.object({
      ...laneFields,
      slope_rad: z.number(),
      centre_line: z.array(placed),
      ticks: z.array(z.object({ s_m: z.number(), tape: placed, centre: placed })),
    }),
  ),
  balls: z.array(z.object({ id: z.string(), lane: z.string() })),
  tracks: z.array(
    z.object({
      ball: z.string(),
      frames: z.array(z.number()),
      columns: z.record(z.string(), z.array(z.number())),
      states: z.array(z.tuple([z.string(), z.number()])),
    }),
  ),
})

const wideForm = z.object({
  version: z.literal(1),
  name: z.string(),
  image,
  time,
  scale_bar: z.object({ length_m: z.number(), ends_px: z.tuple([pixel, pixel]) }),
  rectangle: z.object({ width_m: z.number(), height_m: z.number(), corners_px: z.array(pixel) }),
  plumb_line: z.object({ ends_px: z.tuple([pixel, pixel]) }),
  lanes: z.array(z.object({ ...laneFields, theta_rad: z.number(), centre_line_px: z.array(pixel) })),
  balls: z.array(z.object({ id: z.string(), lane: z.string() })),
  frames: z.array(
    z.object({
      i: z.number(),
      balls: z.array(
        z.object({
          id: z.string(),
          t: z.number(),
          s: z.number(),
          v: z.number(),
          x: z.number(),
          y: z.number(),
          ox: z.number(),
          oy: z.number(),
          r: z.number(),
          state: z.string(),
          seen: z.number(),
          post: z.number(),
        }),
      ),
    }),
  ),
})

/** Reads a truth of either form. Throws, with zod's account of what is wrong, when it is neither. */
export function readTruth(json: unknown): Truth {
  const form = z.discriminatedUnion('version', [compactForm, wideForm]).parse(json)
  return form.version === 2 ? fromCompact(form) : fromWide(form)
}

export async function loadTruth(path: string): Promise<Truth> {
  const text = await readFile(path, 'utf8')
  return readTruth(JSON.parse(text))
}

function fromCompact(form: z.infer<typeof compactForm>): Truth {
  const tracks = form.tracks.map((track): Track => {
    const lane = form.balls.find(({ id }) => id === track.ball)?.lane
    if (lane === undefined) throw new Error(`the truth follows ball ${track.ball} without naming it`)
    const column = (name: string): number[] => {
      const per = form.units[name]?.per
      const values = track.columns[name]
      if (per === undefined || values === undefined) throw new Error(`the truth of ball ${track.ball} lacks ${name}`)
      // Dividing by a whole number keeps the decimals short: 12345 / 10000, not 12345 × 0.0001.
      const parts = Math.round(1 / per)
      return sums(values).map((value) => value / parts)
    }
    const x = column('x')
    const y = column('y')
    return {
      ball: track.ball,
      lane,
      frame: sums(track.frames),
      t: column('t'),
      s: column('s'),
      v: column('v'),
      x,
      y,
      ox: column('dox').map((d, i) => x[i]! + d),
      oy: column('doy').map((d, i) => y[i]! + d),
      r: column('r'),
      seen: column('seen'),
      post: column('post'),
      state: track.states.flatMap(([state, count]) => Array.from({ length: count }, () => state)),
    }
  })
  return {
    name: form.name,
    image: form.image,
    ...form.time,
    lanes: form.lanes.map(({ centre_line, ticks, ...lane }) => ({
      ...lane,
      line_px: centre_line.map(({ px }) => px),
      ticks: ticks.map(({ s_m, tape, centre }) => ({ s_m, tape_px: tape.px, centre_px: centre.px })),
    })),
    bars: form.bars.map(({ length_m, ends }) => ({ length_m, ends_px: [ends[0].px, ends[1].px] })),
    rectangle: form.rectangle
      ? {
          width_m: form.rectangle.width_m,
          height_m: form.rectangle.height_m,
          corners_px: form.rectangle.corners.map(({ px }) => px),
        }
      : null,
    plumb_lines: form.plumb_lines.map(({ ends }) => ({ ends_px: [ends[0].px, ends[1].px] })),
    straight_edges: form.straight_edges.map(({ name, points }) => ({ name, px: points.map(({ px }) => px) })),
    tracks,
  }
}

function sums(values: readonly number[]): number[] {
  let total = 0
  return values.map((value) => (total += value))
}

function fromWide(form: z.infer<typeof wideForm>): Truth {
  const tracks = form.balls.map((ball): Track => {
    const rows = form.frames.flatMap(({ i, balls }) =>
      balls.filter(({ id, state }) => id === ball.id && state !== 'outside').map((row) => ({ ...row, frame: i })),
    )
    const numbers = (key: 't' | 's' | 'v' | 'x' | 'y' | 'ox' | 'oy' | 'r' | 'seen' | 'post' | 'frame'): number[] =>
      rows.map((row) => row[key])
    return {
      ball: ball.id,
      lane: ball.lane,
      frame: numbers('frame'),
      t: numbers('t'),
      s: numbers('s'),
      v: numbers('v'),
      x: numbers('x'),
      y: numbers('y'),
      ox: numbers('ox'),
      oy: numbers('oy'),
      r: numbers('r'),
      seen: numbers('seen'),
      post: numbers('post'),
      state: rows.map(({ state }) => state),
    }
  })
  return {
    name: form.name,
    image: form.image,
    ...form.time,
    lanes: form.lanes.map(({ theta_rad, centre_line_px, ...lane }) => ({
      ...lane,
      slope_rad: theta_rad,
      line_px: centre_line_px,
      ticks: [],
    })),
    bars: [{ length_m: form.scale_bar.length_m, ends_px: form.scale_bar.ends_px }],
    rectangle: form.rectangle,
    plumb_lines: [form.plumb_line],
    straight_edges: [],
    tracks,
  }
}
