import * as z from 'zod/mini'
import { Finite, Id, Label, Note, Positive, Timestamp } from './primitives.ts'
import { Stated } from './sources.ts'

/** The cross-section that carries the ball. Lengths [m], angles [rad]. */
export const Guide = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('flat') }),
  z.strictObject({
    kind: z.literal('v-groove'),
    included_rad: Stated,
    roll_rad: z.optional(Stated),
    depth_m: z.optional(Stated),
  }),
  z.strictObject({ kind: z.literal('unequal-v'), left_rad: Stated, right_rad: Stated }),
  z.strictObject({ kind: z.literal('two-rails'), railRadius_m: Stated, centres_m: Stated }),
  z.strictObject({ kind: z.literal('slot'), gap_m: Stated, depth_m: z.optional(Stated) }),
  z.strictObject({ kind: z.literal('channel'), radius_m: Stated }),
  z.strictObject({ kind: z.literal('typed'), rollingRadius_m: Stated }),
])
export type Guide = z.infer<typeof Guide>

/** A place where the lane rests; `at` is measured along the lane from its start. */
export const Support = z.strictObject({ id: Id, name: Label, at_m: Stated })

/** One physical track. `key` is the letter of its chip. */
export const Lane = z.strictObject({
  id: Id,
  key: z.string().check(z.regex(/^[A-Z][A-Z0-9]?$/)),
  name: Label,
  guide: Guide,
  length_m: z.optional(Stated),
  supports: z.array(Support).check(z.maxLength(20)),
  note: z.optional(Note),
})
export type Lane = z.infer<typeof Lane>

/** How steep one fixing of a lane is; positive downhill along the lane line's direction. */
export const Slope = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('angle'), angle_rad: Stated }),
  /** Rise over horizontal run, or mm per m: the tangent. */
  z.strictObject({ kind: z.literal('gradient'), gradient: Stated }),
  z.strictObject({ kind: z.literal('heights'), upper_m: Stated, lower_m: Stated, apart_m: Stated }),
  /** Read from the lane's line against the plumb line or level edge of a view. */
  z.strictObject({ kind: z.literal('from-picture'), viewId: Id }),
  z.strictObject({
    kind: z.literal('along'),
    stations: z.array(z.strictObject({ s_m: Finite, height_m: Finite })).check(z.maxLength(200)),
    height_m: Stated,
  }),
  z.strictObject({ kind: z.literal('unknown') }),
])
export type Slope = z.infer<typeof Slope>

/** One fixing of a lane at one slope; taking it off to sand it starts another. `entered` is the slope as it was typed. */
export const Mounting = z.strictObject({
  id: Id,
  laneId: Id,
  name: Label,
  slope: Slope,
  entered: z.optional(Label),
  since: z.optional(Timestamp),
})
export type Mounting = z.infer<typeof Mounting>

export const Ball = z.strictObject({
  id: Id,
  name: Label,
  diameter_m: Stated,
  material: Label,
  /** Either may be missing; C_rr needs neither, energies need one. */
  density_kg_m3: z.optional(Stated),
  mass_kg: z.optional(Stated),
  /** Inner over outer radius of a hollow ball; absent: solid. */
  hollow: z.optional(Stated),
})
export type Ball = z.infer<typeof Ball>

export const Finish = z.strictObject({ id: Id, name: Label, note: z.optional(Note), order: Finite })
export type Finish = z.infer<typeof Finish>

export const Gravity = z.strictObject({ g_m_s2: Stated, latitude_deg: z.optional(Finite) })

/** What was counted by hand on a lane. */
export const Trial = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('passages'),
    id: Id,
    laneId: Id,
    mountingId: Id,
    finishId: Id,
    ballId: z.nullable(Id),
    passages: z.int().check(z.nonnegative()),
    stalls: z.int().check(z.nonnegative()),
    on: z.optional(Timestamp),
    note: z.optional(Note),
  }),
  z.strictObject({
    kind: z.literal('start-angles'),
    id: Id,
    laneId: Id,
    mountingId: z.nullable(Id),
    finishId: Id,
    ballId: z.nullable(Id),
    angles_rad: z.array(Positive).check(z.maxLength(1000)),
    on: z.optional(Timestamp),
    note: z.optional(Note),
  }),
])
export type Trial = z.infer<typeof Trial>
