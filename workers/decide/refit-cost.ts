import { estimateOf, type SourceBook } from '../fit/estimates.ts'
import { slopeSources } from '../measure/run-sources.ts'
import type { SlowlaneRecord } from '../record/index.ts'
import type { Comparison } from './compare.ts'

/** What taking a lane off and fixing it anew costs a comparison. */
export interface RefitCost {
  /** Part of the difference's standard uncertainty that comes from the two slopes. */
  readonly slope_u: number
  /** Half width of the interval as it is, and as it would be on one mounting. */
  readonly U: number
  readonly unmoved_U: number
  /** Sources that the two slopes share, and those that only one has. */
  readonly shared: readonly string[]
  readonly own: readonly string[]
}

/** Cost of a new mounting; null where both sides stand on the same one, or where both directions were run and no slope is needed. */
export function refitCost(
  record: SlowlaneRecord,
  book: SourceBook,
  comparison: Comparison,
  mountings: readonly [string, string],
): RefitCost | null {
  if (comparison.sameMounting || comparison.basis === 'both-directions') return null
  const [first, second] = mountings.map((id) => new Set(slopeSources(record, id)))
  const all = new Set([...first!, ...second!])
  const shared = [...all].filter((id) => first!.has(id) && second!.has(id))
  const own = [...all].filter((id) => !shared.includes(id))
  const { difference } = comparison
  // On one mounting every source of the slope acts on both sides alike.
  const kept = new Map([...difference.effects].filter(([id]) => !own.includes(id)))
  const unmoved = estimateOf(book, difference.unit, difference.value, kept, difference.random)
  const slope_u = Math.sqrt([...difference.effects].reduce((sum, [id, e]) => sum + (own.includes(id) ? e * e : 0), 0))
  return { slope_u, U: difference.U, unmoved_U: unmoved.U, shared, own }
}
