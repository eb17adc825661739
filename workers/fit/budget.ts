import { standardUncertainty, type Estimate, type SlowlaneRecord, type Stated } from '../record/index.ts'
import type { SourceBook } from './estimates.ts'
import type { BudgetRow } from './results.ts'

/** The uncertainty budget of a result, the greatest contribution first. `scatter` names its random part. */
export function budgetOf(record: SlowlaneRecord, book: SourceBook, estimate: Estimate, scatter: string): BudgetRow[] {
  const variance = estimate.u ** 2
  const values = statedValues(record)
  const rows: BudgetRow[] = []
  for (const [id, contribution] of estimate.effects) {
    const source = book.sources[id]
    if (!source) continue
    const u = standardUncertainty(source.distribution)
    const value = values.get(id)
    rows.push({
      sourceId: id,
      name: source.name,
      type: source.distribution.kind === 'normal' && source.distribution.dof !== undefined ? 'A' : 'B',
      value: value?.size === 1 ? [...value][0]! : null,
      u,
      unit: source.relative ? '1' : source.unit,
      distribution: source.distribution,
      sensitivity: u > 0 ? contribution / u : 0,
      contribution,
      share: variance > 0 ? contribution ** 2 / variance : 0,
      guessed: source.unknown ?? false,
    })
  }
  if (estimate.random.u > 0)
    rows.push({
      sourceId: null,
      name: scatter,
      type: 'A',
      value: estimate.value,
      u: estimate.random.u,
      unit: estimate.unit,
      distribution: { kind: 'scatter', dof: estimate.random.dof },
      sensitivity: 1,
      contribution: estimate.random.u,
      share: variance > 0 ? estimate.random.u ** 2 / variance : 0,
      guessed: false,
    })
  return rows.sort((a, b) => b.share - a.share)
}

/** The values that name each source. Marks hold none, so runs are left out. */
function statedValues(record: SlowlaneRecord): Map<string, Set<number>> {
  const found = new Map<string, Set<number>>()
  const walk = (item: unknown): void => {
    if (typeof item !== 'object' || item === null) return
    if (isStated(item)) {
      for (const id of item.sources) found.set(id, (found.get(id) ?? new Set()).add(item.value))
      return
    }
    for (const inner of Object.values(item)) walk(inner)
  }
  for (const part of [record.views, record.lanes, record.mountings, record.balls, record.settings]) walk(part)
  return found
}

function isStated(item: object): item is Stated {
  return 'value' in item && typeof item.value === 'number' && 'sources' in item && Array.isArray(item.sources)
}
