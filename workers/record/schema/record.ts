import * as z from 'zod/mini'
import { Clip } from './clips.ts'
import { Ball, Finish, Gravity, Lane, Mounting, Trial } from './lanes.ts'
import { Finite, Id, Label, Note, Positive, Timestamp, byId } from './primitives.ts'
import { Run } from './runs.ts'
import { Source } from './sources.ts'
import { View } from './views.ts'

/** The version this code writes. Older files migrate step by step; newer ones are refused untouched. */
export const schemaVersion = 1

export const motionModels = [
  'auto',
  'constant-velocity',
  'constant-acceleration',
  'dry-and-viscous',
  'terminal-speed',
  'known-drag',
] as const

export const Settings = z.strictObject({
  gravity: Gravity,
  /** Confidence level of every interval on show. */
  coverage: z.number().check(z.gt(0.5), z.lt(1)),
  slopeUnit: z.enum(['deg', 'mm-per-m']),
  /** Standard uncertainty of a click that was not settled by the tool [px]. */
  click_px: Positive,
  /** Standard uncertainty of a point of a bar, corner or lane line placed with the loupe [px]. */
  placing_px: Positive,
  /** Smallest difference that matters to this person. */
  matters: z.strictObject({ crr: Positive, exitSpeed_m_s: Positive }),
  /** How gentle the exit must be: greatest exit speed [m/s]. */
  gentleExit_m_s: z.optional(Positive),
  /** Share of passages and confidence that the needed slope must hold. */
  reliability: z.strictObject({
    share: z.number().check(z.gt(0.5), z.lt(1)),
    confidence: z.number().check(z.gt(0.5), z.lt(1)),
  }),
  /** Motion model per lane and finish chosen by the person, keyed `laneId.finishId`. */
  models: z.record(z.string().check(z.maxLength(140)), z.enum(motionModels)),
  extra: z.optional(
    z.record(z.string().check(z.maxLength(64)), z.union([Finite, z.string().check(z.maxLength(1000)), z.boolean()])),
  ),
})
export type Settings = z.infer<typeof Settings>

/** The whole document, and the only thing that is stored. Everything computed is derived from it. */
export const SlowlaneRecord = z.strictObject({
  schema: z.literal(schemaVersion),
  id: Id,
  title: Label,
  createdAt: Timestamp,
  note: z.optional(Note),
  clips: byId(Clip, 500),
  views: byId(View, 100),
  lanes: byId(Lane, 100),
  mountings: byId(Mounting, 500),
  balls: byId(Ball, 200),
  finishes: byId(Finish, 100),
  runs: byId(Run, 5000),
  trials: byId(Trial, 5000),
  sources: byId(Source, 5000),
  settings: Settings,
})
export type SlowlaneRecord = z.infer<typeof SlowlaneRecord>
