import * as z from 'zod/mini'

/** Names that would reach an object's prototype; no id may be one of them. */
const forbiddenIds = new Set(['__proto__', 'constructor', 'prototype', 'toString', 'valueOf', 'hasOwnProperty'])

/** An id inside one record: letters, digits, `-` and `_`, 1 … 64 characters. */
export const Id = z.string().check(
  z.regex(/^[A-Za-z0-9_-]{1,64}$/),
  z.refine((id) => !forbiddenIds.has(id), 'this name is reserved'),
)
export type Id = z.infer<typeof Id>

/** Text a person typed: one line, bounded. */
export const Label = z.string().check(z.maxLength(200))
/** Longer remarks. */
export const Note = z.string().check(z.maxLength(4000))

export const Finite = z.number()
export const Positive = z.number().check(z.positive())
export const NonNegative = z.number().check(z.nonnegative())
export const Count = z.int().check(z.nonnegative())

/** A point of the displayed (rotated) picture [px]: x right, y down, pixel centres at .5, outer corner of the first pixel (0, 0). */
export const Px = z.strictObject({ x: Finite, y: Finite })
export type Px = z.infer<typeof Px>

export const Turn = z.union([z.literal(0), z.literal(90), z.literal(180), z.literal(270)])
export type Turn = z.infer<typeof Turn>

export const Timestamp = z.string().check(z.maxLength(40))

/** A map by id, bounded so that a hostile file cannot exhaust memory. */
export const byId = <T extends z.ZodMiniType>(item: T, most: number) =>
  z.record(Id, item).check(z.refine((map) => Object.keys(map).length <= most, `more than ${most} entries`))
