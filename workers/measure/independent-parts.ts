import { type Deviations, type SlowlaneRecord, type Stated, standardUncertainty } from '../record/index.ts'

/**
 * Positions that share one stated uncertainty (ticks of a tape, points of a board, heights of stations): what its relative sources say
 * stretches all of them together, what its other sources say befalls each on its own.
 */
export function commonFactor(stated: Stated | undefined, record: SlowlaneRecord, deviations: Deviations): number {
  let factor = 1
  for (const id of stated?.sources ?? []) if (record.sources[id]?.relative) factor *= 1 + (deviations.get(id) ?? 0)
  return factor
}

/** Standard uncertainty of each position on its own, in the value's unit. */
export function ownUncertainty(stated: Stated | undefined, record: SlowlaneRecord): number {
  let sum = 0
  for (const id of stated?.sources ?? []) {
    const source = record.sources[id]
    if (source && !source.relative) sum += standardUncertainty(source.distribution) ** 2
  }
  return Math.sqrt(sum)
}

/** The relative ones among the sources of a shared uncertainty. */
export function commonSources(stated: Stated | undefined, record: SlowlaneRecord): string[] {
  return (stated?.sources ?? []).filter((id) => record.sources[id]?.relative === true)
}
