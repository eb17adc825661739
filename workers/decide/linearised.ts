import { combinedEffects, combinedRandom, estimateOf, type SourceBook } from '../fit/estimates.ts'
import type { Estimate } from '../record/index.ts'

export interface Part {
  /** ∂value/∂estimate. */
  readonly weight: number
  readonly estimate: Estimate
}

/** No further source, no scatter of its own. */
const nothing: ReadonlyMap<string, number> = new Map()

/**
 * A computed number whose uncertainty follows from those of others to first order (JCGM 100:2008, 5.1 and 5.2): what they share by source adds with
 * its signs. `own`: standard uncertainties of things that no other result knows (a stack of washers), `effects`: further sources by id.
 */
export function linearised(
  book: SourceBook,
  unit: string,
  value: number,
  parts: readonly Part[],
  own: readonly number[] = [],
  effects: ReadonlyMap<string, number> = nothing,
): Estimate {
  const all = combinedEffects([
    ...parts.map(({ weight, estimate }) => ({ weight, effects: estimate.effects })),
    { weight: 1, effects },
  ])
  const random = combinedRandom([
    ...parts.map(({ weight, estimate }) => ({ weight, random: estimate.random })),
    ...own.map((u) => ({ weight: 1, random: { u, dof: Infinity } })),
  ])
  return estimateOf(book, unit, value, all, random)
}

/** The part of an estimate's uncertainty that more runs would not reduce. */
export function systematicPart(estimate: Estimate): number {
  return Math.sqrt(Math.max(0, estimate.u ** 2 - estimate.random.u ** 2))
}
