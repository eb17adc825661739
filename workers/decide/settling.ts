import { runsNeeded } from './detectable.ts'

/** What more runs would bring. `settled`: the verdict stands already. `not-by-runs`: what is systematic is as large as the question. */
export type Settling =
  | { readonly kind: 'settled' }
  | { readonly kind: 'more-runs'; readonly more: number; readonly each: number }
  | { readonly kind: 'not-by-runs'; readonly systematic_u: number }
  | { readonly kind: 'too-many' }

/** Two-sided 5 % and four times in five: 1.960 + 0.842 standard uncertainties. */
const reach = 2.8

/**
 * How many runs each side needs so that the question is settled four times in five, if the difference stays as found: either the difference
 * shows, or the room between it and the threshold does. `scatter`: standard deviation between runs; `runs`: runs a side there are.
 */
export function runsToSettle(found: {
  readonly difference: number
  readonly scatter: number
  readonly systematic_u: number
  readonly matters: number
  readonly runs: number
}): Settling {
  const size = Math.abs(found.difference)
  // The nearer of the two questions: "is there a change?", "is it below what matters?"
  const gap = Math.max(size, found.matters - size)
  const left = gap * gap - (reach * found.systematic_u) ** 2
  if (!(left > 0)) return { kind: 'not-by-runs', systematic_u: found.systematic_u }
  if (!(found.scatter > 0)) return { kind: 'settled' }
  const each = runsNeeded(Math.sqrt(left) / found.scatter)
  if (each === 'too-many') return { kind: 'too-many' }
  return each <= found.runs ? { kind: 'settled' } : { kind: 'more-runs', more: each - found.runs, each }
}
