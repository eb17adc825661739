import { standardUncertainty, type Estimate, type Source } from '../record/index.ts'
import { halfWidth, type ShapedPart } from './bounded-parts.ts'
import { coverageFactor } from './numerics/student-t.ts'
import { welchSatterthwaite } from './numerics/degrees-of-freedom.ts'

/** The sources that effects may name (stated ones and those that follow from the record), and the coverage of every interval. */
export interface SourceBook {
  readonly sources: Readonly<Record<string, Source>>
  readonly coverage: number
}

/** From this share of the variance on, parts that are not bell-shaped shape the interval. */
const shapedShare = 0.05

/**
 * A number with its combined uncertainty (JCGM 100:2008): effects of sources and the random part, independent of each other.
 * The interval follows Student's t with the Welch–Satterthwaite degrees of freedom; where rectangular or triangular parts matter, it holds the
 * stated share of the distribution that the parts add up to (JCGM 101:2008), the bell-shaped ones taken together.
 */
export function estimateOf(
  book: SourceBook,
  unit: string,
  value: number,
  effects: ReadonlyMap<string, number>,
  random: { readonly u: number; readonly dof: number },
): Estimate {
  const bell = [random]
  const shaped: ShapedPart[] = []
  let shapedVariance = 0
  let variance = random.u * random.u
  const kept = new Map<string, number>()
  for (const [id, effect] of effects) {
    if (effect === 0) continue
    const distribution = book.sources[id]?.distribution
    if (!distribution) throw new Error(`an effect names the source “${id}”, which nobody knows`)
    kept.set(id, effect)
    const u = Math.abs(effect)
    variance += u * u
    if (distribution.kind === 'normal') bell.push({ u, dof: distribution.dof ?? Infinity })
    else {
      shaped.push({ u, shape: distribution.kind })
      shapedVariance += u * u
    }
  }
  const u = Math.sqrt(variance)
  const dof = welchSatterthwaite([...bell, ...shaped.map((part) => ({ u: part.u, dof: Infinity }))])
  const bellPart = { u: Math.sqrt(bell.reduce((sum, part) => sum + part.u ** 2, 0)), dof: welchSatterthwaite(bell) }
  const U =
    u === 0
      ? 0
      : shapedVariance > shapedShare * variance
        ? halfWidth([...shaped, { u: bellPart.u, shape: { dof: bellPart.dof } }], book.coverage)
        : coverageFactor(book.coverage, dof) * u
  return {
    value,
    unit,
    u,
    dof,
    U,
    coverage: book.coverage,
    interval: [value - U, value + U],
    effects: kept,
    random: { u: random.u, dof: random.dof },
  }
}

/** Effects of a linear combination of results: common sources add with their signs. */
export function combinedEffects(
  parts: readonly { readonly weight: number; readonly effects: ReadonlyMap<string, number> }[],
): Map<string, number> {
  const sum = new Map<string, number>()
  for (const { weight, effects } of parts)
    for (const [id, effect] of effects) sum.set(id, (sum.get(id) ?? 0) + weight * effect)
  return sum
}

/** Random parts of independent results in a linear combination. */
export function combinedRandom(
  parts: readonly { readonly weight: number; readonly random: { readonly u: number; readonly dof: number } }[],
): { readonly u: number; readonly dof: number } {
  const scaled = parts.map(({ weight, random }) => ({ u: Math.abs(weight) * random.u, dof: random.dof }))
  return { u: Math.sqrt(scaled.reduce((sum, { u }) => sum + u * u, 0)), dof: welchSatterthwaite(scaled) }
}

/** A linear combination Σ weight · estimate, of results whose random parts are independent: effects of common sources cancel before squaring. */
export function combineEstimates(
  book: SourceBook,
  unit: string,
  parts: readonly { readonly weight: number; readonly estimate: Estimate }[],
): Estimate {
  const value = parts.reduce((sum, { weight, estimate }) => sum + weight * estimate.value, 0)
  return estimateOf(
    book,
    unit,
    value,
    combinedEffects(parts.map(({ weight, estimate }) => ({ weight, effects: estimate.effects }))),
    combinedRandom(parts.map(({ weight, estimate }) => ({ weight, random: estimate.random }))),
  )
}

/** a − b: what both share cancels. */
export function differenceOf(book: SourceBook, a: Estimate, b: Estimate): Estimate {
  return combineEstimates(book, a.unit, [
    { weight: 1, estimate: a },
    { weight: -1, estimate: b },
  ])
}

/** Standard uncertainty of a source as effects use it. */
export function sourceStep(book: SourceBook, id: string): number {
  const source = book.sources[id]
  return source ? standardUncertainty(source.distribution) : 0
}
