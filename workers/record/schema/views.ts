import * as z from 'zod/mini'
import { Count, Finite, Id, Label, Positive, Px, byId } from './primitives.ts'
import { Stated } from './sources.ts'

/** Two frames of a clip a known time apart. */
const TwoFrames = z.strictObject({
  kind: z.literal('two-frames'),
  clipId: Id,
  first: Count,
  last: Count,
  apart_s: Stated,
})
/** A lamp that blinks at a known rate, read from the clip's lamp series. */
const Lamp = z.strictObject({ kind: z.literal('lamp'), clipId: Id, blink_hz: Stated })
/** A ball in free fall: marks on frames along the plane's vertical. */
const FreeFall = z.strictObject({
  kind: z.literal('free-fall'),
  clipId: Id,
  planeId: Id,
  frames: z.array(Count),
  ticks: z.array(Finite),
  points: z.array(Px),
})
/** Mains flicker of the light, 100 or 120 times a second, read from the clip's lamp series. */
const Mains = z.strictObject({ kind: z.literal('mains'), clipId: Id, flicker_hz: Stated })
export const ClipClock = z.discriminatedUnion('kind', [TwoFrames, Lamp, FreeFall, Mains])
export type ClipClock = z.infer<typeof ClipClock>

/**
 * The rule that turns ticks into seconds.
 * `file`: the file's timestamps are real time. `filmed-at`: the camera filmed at `rate`; real time is the file's time × file rate / rate
 * (`spacing: 'timestamps'`) or the frame number / rate (`spacing: 'even'`). `measured`: as filmed-at, the rate [Hz] found in the clip.
 */
export const Timebase = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('unset') }),
  z.strictObject({ kind: z.literal('file'), drift: Stated }),
  z.strictObject({ kind: z.literal('filmed-at'), rate_hz: Stated, spacing: z.enum(['timestamps', 'even']) }),
  z.strictObject({ kind: z.literal('measured'), clock: ClipClock, spacing: z.enum(['timestamps', 'even']) }),
])
export type Timebase = z.infer<typeof Timebase>

/** Rolling shutter: time from one sensor row to the next, and which way the rows are read in the displayed picture. */
export const Shutter = z.strictObject({ lineTime_s: Stated, reads: z.enum(['down', 'up', 'right', 'left']) })
export type Shutter = z.infer<typeof Shutter>

export const ScaleBar = z.strictObject({ id: Id, a: Px, b: Px, length_m: Stated })
export type ScaleBar = z.infer<typeof ScaleBar>

/**
 * A flat region of the scene with its scale.
 * `bars`: one or more scale bars. `rectangle`: four corners in turn (first side = width). `points`: four or more of known position in the plane [m].
 * `nearer_m`: how much nearer to the camera the lanes lie than the bar or corners do (negative: farther away).
 */
export const Plane = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('bars'),
    id: Id,
    name: Label,
    bars: z.array(ScaleBar).check(z.maxLength(20)),
    /** Standard uncertainty of its points where they are known better than by placing with the loupe [px]. */
    u_px: z.optional(Positive),
    nearer_m: z.optional(Stated),
  }),
  z.strictObject({
    kind: z.literal('rectangle'),
    id: Id,
    name: Label,
    corners: z.tuple([Px, Px, Px, Px]),
    width_m: Stated,
    height_m: Stated,
    /** Bars that lie in the plane too: they do not set the scale, they check it. */
    checks: z.optional(z.array(ScaleBar).check(z.maxLength(20))),
    /** Standard uncertainty of its points where they are known better than by placing with the loupe [px]. */
    u_px: z.optional(Positive),
    nearer_m: z.optional(Stated),
  }),
  z.strictObject({
    kind: z.literal('points'),
    id: Id,
    name: Label,
    points: z.array(z.strictObject({ at: Px, x_m: Finite, y_m: Finite })).check(z.maxLength(100)),
    position_m: Stated,
    checks: z.optional(z.array(ScaleBar).check(z.maxLength(20))),
    /** Standard uncertainty of its points where they are known better than by placing with the loupe [px]. */
    u_px: z.optional(Positive),
    nearer_m: z.optional(Stated),
  }),
])
export type Plane = z.infer<typeof Plane>

/** Straight edges marked in the picture, from which radial distortion is found; or a typed k1 (r in units of the half diagonal). */
export const Lens = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('edges'),
    edges: z.array(z.array(Px).check(z.maxLength(60))).check(z.maxLength(40)),
  }),
  z.strictObject({ kind: z.literal('typed'), k1: Stated }),
])
export type Lens = z.infer<typeof Lens>

/** Two points that show which way gravity points (a plumb string) or what is level (a level edge, a water line). */
export const GravityLine = z.strictObject({
  id: Id,
  kind: z.enum(['plumb', 'level']),
  a: Px,
  b: Px,
  planeId: z.nullable(Id),
  u_px: z.optional(Positive),
})
export type GravityLine = z.infer<typeof GravityLine>

/** A mark on the lane at a known arc length from the tape's zero [m]. */
export const LaneTick = z.strictObject({ at: Px, s_m: Finite })

/** The path of the ball's centre in the picture of a view, from the start to the end of the lane in its downhill sense. */
export const LaneLine = z.strictObject({
  laneId: Id,
  planeId: z.nullable(Id),
  shape: z.enum(['straight', 'polyline', 'curve']),
  points: z.array(Px).check(z.minLength(2), z.maxLength(200)),
  /** Standard uncertainty of its points where they are known better than by placing with the loupe (laid through a ball's marks, fitted to an edge) [px]. */
  u_px: z.optional(Positive),
  ticks: z.optional(z.array(LaneTick).check(z.maxLength(200))),
  tickPosition_m: z.optional(Stated),
  /** How much nearer to the camera this lane lies than its plane (negative: farther away). */
  nearer_m: z.optional(Stated),
})
export type LaneLine = z.infer<typeof LaneLine>

/** One camera position: its time, scale, planes and lane lines serve every clip filmed from it. */
export const View = z.strictObject({
  id: Id,
  name: Label,
  /** Size of the displayed picture [px]. */
  width: Positive,
  height: Positive,
  timebase: Timebase,
  shutter: z.optional(Shutter),
  planes: byId(Plane, 50),
  lens: z.optional(Lens),
  gravity: z.array(GravityLine).check(z.maxLength(20)),
  lines: byId(LaneLine, 100),
  /** How far the camera looks down [rad] and how far it is turned from square to the lanes [rad]; both ± even when taken as 0. */
  pitch_rad: Stated,
  yaw_rad: Stated,
  /** Distance of the camera from the plane [m]. */
  distance_m: Stated,
})
export type View = z.infer<typeof View>
