import * as maths from '../elementary/maths.ts'
import type { Estimate } from '../record/index.ts'
import { estimateOf, type SourceBook } from './estimates.ts'
import type { Places, SeriesNumbers, SeriesPlan } from './evaluate.ts'
import type { Moved } from './speed-curve.ts'

/** A series under no deviation and under each source moved by plus and minus one standard uncertainty. */
export interface SeriesEvaluation {
  readonly plan: SeriesPlan
  readonly places: Places
  readonly base: SeriesNumbers
  readonly moved: ReadonlyMap<string, Moved<SeriesNumbers>>
}

export interface RandomPart {
  readonly u: number
  readonly dof: number
}

/** A quantity of a series with the effects of all sources: the pure function of the numbers is told, everything else follows. */
export function quantityOf(
  book: SourceBook,
  { base, moved }: Pick<SeriesEvaluation, 'base' | 'moved'>,
  unit: string,
  quantity: (numbers: SeriesNumbers) => number | null,
  random: RandomPart,
): Estimate | null {
  const value = quantity(base)
  if (value === null || !Number.isFinite(value)) return null
  return estimateOf(book, unit, value, effectsOf(moved, value, quantity), random)
}

/** Effects by central difference; one-sided where the other side has no value. */
export function effectsOf<T>(
  moved: ReadonlyMap<string, Moved<T>>,
  value: number,
  quantity: (numbers: T) => number | null,
): Map<string, number> {
  const effects = new Map<string, number>()
  for (const [id, { plus, minus }] of moved) {
    const [up, down] = [quantity(plus), quantity(minus)]
    if (up !== null && down !== null) effects.set(id, (up - down) / 2)
    else if (up !== null) effects.set(id, up - value)
    else if (down !== null) effects.set(id, value - down)
  }
  return effects
}

/** |∂c/∂a| = k/(g cos θ); null without guide. */
export function resistancePerAcceleration(n: SeriesNumbers): number | null {
  return n.inertiaFactor === null ? null : n.inertiaFactor / (n.g_m_s2 * maths.cos(n.slope_rad ?? 0))
}

/** Mean of values of which none is missing. */
export function meanOf(values: readonly (number | null)[]): number | null {
  let sum = 0
  for (const value of values) {
    if (value === null) return null
    sum += value
  }
  return values.length > 0 ? sum / values.length : null
}
