import type { Distribution, Source, Stated } from './schema/sources.ts'

/** Standard uncertainty of a distribution, in its own unit (JCGM 100:2008, 4.3.7 and 4.3.9: half/√3, half/√6). */
export function standardUncertainty(distribution: Distribution): number {
  switch (distribution.kind) {
    case 'normal':
      return distribution.u
    case 'rectangular':
      return distribution.half / Math.sqrt(3)
    case 'triangular':
      return distribution.half / Math.sqrt(6)
  }
}

/** Deviations of sources from their stated value, in the source's own unit, by source id; a source not listed has none. */
export type Deviations = ReadonlyMap<string, number>
export const noDeviations: Deviations = new Map()

/**
 * The value of a stated quantity when its sources deviate: value + Σ deviation, and × (1 + deviation) for relative sources.
 * One rule serves the estimate (no deviations), the sensitivities (one source moved at a time) and the Monte Carlo (all drawn).
 */
export function valueOf(stated: Stated, sources: Readonly<Record<string, Source>>, deviations: Deviations): number {
  let factor = 1
  let sum = stated.value
  for (const id of stated.sources) {
    const deviation = deviations.get(id)
    if (deviation === undefined) continue
    if (sources[id]?.relative) factor *= 1 + deviation
    else sum += deviation
  }
  return sum * factor
}

/** Standard uncertainty of a stated value from all its sources, taken as independent, in the value's unit. */
export function statedUncertainty(stated: Stated, sources: Readonly<Record<string, Source>>): number {
  let sum = 0
  for (const id of stated.sources) {
    const source = sources[id]
    if (!source) continue
    const u = standardUncertainty(source.distribution) * (source.relative ? Math.abs(stated.value) : 1)
    sum += u * u
  }
  return Math.sqrt(sum)
}
