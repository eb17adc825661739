import * as z from 'zod/mini'
import { Count, Finite, Id, Label, NonNegative, Note, Positive, Px, Timestamp, Turn } from './primitives.ts'

/** A piece of a clip that was filmed at its own rate (slow-motion ramps baked in by a phone): from this frame on. */
export const RatePiece = z.strictObject({
  fromFrame: Count,
  /** Time of that frame in the clip's timescale; without it, even spacing is assumed up to there. */
  fromTicks: z.optional(Finite),
  rate_hz: Positive,
  uRelative: NonNegative,
})
export type RatePiece = z.infer<typeof RatePiece>

/** Mean luma of a region per frame: read once, kept, so that a lamp's rate recomputes without the clip. */
export const LampSeries = z.strictObject({
  x: Finite,
  y: Finite,
  width: Positive,
  height: Positive,
  fromFrame: Count,
  ticks: z.array(Finite),
  luma: z.array(Finite),
})

/** Shift [px] and turn [rad] of the picture per frame against the view, from still features; with the scatter of one frame's value. */
export const ShakeTrack = z.strictObject({
  frames: z.array(Count),
  dx: z.array(Finite),
  dy: z.array(Finite),
  turn_rad: z.array(Finite),
  about: Px,
  u_px: NonNegative,
})
export type ShakeTrack = z.infer<typeof ShakeTrack>

/** A clip is a reference and the facts that were read from it, never its pixels. */
export const Clip = z.strictObject({
  id: Id,
  name: Label,
  /** [bytes]; for numbered stills the sum. */
  size: NonNegative,
  /** Hash of the size and the end blocks: finds the file at once. */
  quickKey: z.string().check(z.maxLength(128)),
  /** Lower-case hex, read in the background; absent until known. */
  sha256: z.optional(z.string().check(z.regex(/^[0-9a-f]{64}$/))),
  container: Label,
  codec: Label,
  /** Coded size, before any turning [px]. */
  width: Positive,
  height: Positive,
  /** Clockwise turn that the file asks for. */
  rotation: Turn,
  /** Further clockwise turn that the person asked for. */
  turn: Turn,
  frames: Count,
  /** Ticks per second of the container's time scale. */
  timescale: Positive,
  firstTicks: Finite,
  lastTicks: Finite,
  /** Interval between frames [ticks]. */
  interval: z.strictObject({ median: NonNegative, least: NonNegative, greatest: NonNegative, uneven: Count }),
  /** Rounding step of the timestamps [s]; 0 where they are exact (Matroska: 0.001). */
  timestampStep_s: NonNegative,
  fileRate_hz: Positive,
  /** What the file says the camera filmed at, if it says so. */
  filmingRateTag_hz: z.nullable(Positive),
  damage: z.nullable(Note),
  viewId: Id,
  trim: z.optional(z.strictObject({ first: Count, last: Count })),
  pieces: z.optional(z.array(RatePiece).check(z.maxLength(50))),
  /** Frames that repeat the picture before them: not used as new positions. */
  repeated: z.optional(z.array(Count)),
  /** As the pictures show, only every `every`th frame was filmed, counted from `first`; those between were made from their neighbours. */
  filmedFrames: z.optional(z.strictObject({ every: Count.check(z.gte(2)), first: Count })),
  lamp: z.optional(LampSeries),
  shake: z.optional(ShakeTrack),
  filmedOn: z.optional(Timestamp),
  addedAt: z.optional(Timestamp),
})
export type Clip = z.infer<typeof Clip>
