import * as z from 'zod/mini'
import { Finite, Id, Label, NonNegative, Note, Positive } from './primitives.ts'

/**
 * The shape of what is not known about a quantity (JCGM 100:2008, 4.3).
 * `normal`: standard uncertainty u with `dof` degrees of freedom (absent: known exactly).
 * `rectangular`, `triangular`: half width; `half` of 0 means "taken as exact".
 */
export const Distribution = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('normal'), u: NonNegative, dof: z.optional(Positive) }),
  z.strictObject({ kind: z.literal('rectangular'), half: NonNegative }),
  z.strictObject({ kind: z.literal('triangular'), half: NonNegative }),
])
export type Distribution = z.infer<typeof Distribution>

/**
 * One stated uncertainty, shared by every result that uses it: the same bar, the same inclinometer zero, the same groove angle.
 * The deviation it stands for is added to each value that names it; with `relative`, the value is multiplied by (1 + deviation).
 */
export const Source = z.strictObject({
  id: Id,
  name: Label,
  unit: z.enum(['1', 'm', 'rad', 's', 'Hz', 'kg', 'kg/m3', 'm/s2', 'px', '1/m', '1/px2']),
  relative: z.optional(z.boolean()),
  distribution: Distribution,
  /** Where the figure comes from: "steel rule", "I don't know: wide guess" … */
  basis: z.optional(Note),
  /** The person said "I don't know": the width is ours, and the tool says what knowing it would bring. */
  unknown: z.optional(z.boolean()),
})
export type Source = z.infer<typeof Source>

/** A value in SI with the sources of its uncertainty. */
export const Stated = z.strictObject({ value: Finite, sources: z.array(Id).check(z.maxLength(8)) })
export type Stated = z.infer<typeof Stated>
