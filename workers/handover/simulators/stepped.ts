import { estimateOf, sourceStep, type SourceBook } from '../../fit/estimates.ts'
import type { Deviations, Estimate } from '../../record/index.ts'
import { noDeviations } from '../../record/index.ts'

/** A number that follows from stated values, with its effects by source: each source is moved by one standard uncertainty both ways. Null where it has no value. */
export function stepped(
  book: SourceBook,
  sourceIds: Iterable<string>,
  unit: string,
  quantity: (deviations: Deviations) => number | null,
): Estimate | null {
  const value = quantity(noDeviations)
  if (value === null || !Number.isFinite(value)) return null
  const effects = new Map<string, number>()
  for (const id of new Set(sourceIds)) {
    const step = sourceStep(book, id)
    if (!(step > 0)) continue
    const up = quantity(new Map([[id, step]]))
    const down = quantity(new Map([[id, -step]]))
    if (up !== null && down !== null) effects.set(id, (up - down) / 2)
    else if (up !== null) effects.set(id, up - value)
    else if (down !== null) effects.set(id, value - down)
  }
  return estimateOf(book, unit, value, effects, { u: 0, dof: Infinity })
}
