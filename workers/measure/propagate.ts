import { type Deviations, type Source, standardUncertainty } from '../record/index.ts'

export interface Propagated {
  readonly value: number
  /** Combined standard uncertainty. */
  readonly u: number
  /** Signed change for + 1 standard uncertainty of each source that moves the value. */
  readonly effects: ReadonlyMap<string, number>
}

/**
 * A value with what each source does to it, each moved alone by ± 1 standard uncertainty, and the root of the sum of squares
 * (JCGM 100:2008, 5.1.2 with sensitivities by finite differences, 5.1.4). Undefined where the function gives no number.
 */
export function propagate(
  ids: Iterable<string>,
  sources: Readonly<Record<string, Source>>,
  f: (deviations: Deviations) => number | undefined,
): Propagated | undefined {
  const value = f(new Map())
  if (value === undefined) return undefined
  const effects = new Map<string, number>()
  let variance = 0
  for (const id of new Set(ids)) {
    const source = sources[id]
    const u = source ? standardUncertainty(source.distribution) : 0
    if (u === 0) continue
    const up = f(new Map([[id, u]]))
    const down = f(new Map([[id, -u]]))
    // Where one side fails (a bar that would shrink to nothing), the other side alone tells.
    const effect =
      up !== undefined && down !== undefined
        ? (up - down) / 2
        : up !== undefined
          ? up - value
          : down !== undefined
            ? value - down
            : 0
    if (effect === 0) continue
    effects.set(id, effect)
    variance += effect * effect
  }
  return { value, u: Math.sqrt(variance), effects }
}
