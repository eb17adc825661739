import type { Draft } from 'immer'
import type { SlowlaneRecord, Source, Stated } from '../../../workers/record/index.ts'
import type { StatedFigures } from '../../parts/plus-minus-field.tsx'
import { newId } from '../../record/new-id.ts'

/** What a person says about one quantity: its value, and how far it may be off. SI. */
export type StatedEntry = StatedFigures

export type SourceUnit = Source['unit']

/** The source that a person edits beside a value: the first it names; others are shared instruments. */
export const ownSource = (record: SlowlaneRecord, stated: Stated | undefined): Source | undefined =>
  stated?.sources[0] === undefined ? undefined : record.sources[stated.sources[0]]

export function entryOf(record: SlowlaneRecord, stated: Stated | undefined): StatedEntry | null {
  if (!stated) return null
  const source = ownSource(record, stated)
  return {
    value: stated.value,
    distribution: source?.distribution ?? { kind: 'rectangular', half: 0 },
    basis: source?.basis ?? '',
    unknown: source?.unknown ?? false,
  }
}

/** Writes an entry: the value, and the source it shares or one of its own. Sources named beside the first stay. */
export function writeStated(
  draft: Draft<SlowlaneRecord>,
  previous: Stated | undefined,
  entry: StatedEntry,
  about: { readonly name: string; readonly unit: SourceUnit },
): Draft<Stated> {
  const id = previous?.sources[0] ?? newId('s-')
  const held = draft.sources[id]
  draft.sources[id] = {
    id,
    name: held?.name ?? about.name,
    unit: held?.unit ?? about.unit,
    ...(held?.relative ? { relative: true } : {}),
    distribution: entry.distribution,
    ...(entry.basis ? { basis: entry.basis } : {}),
    ...(entry.unknown ? { unknown: true } : {}),
  }
  return { value: entry.value, sources: [id, ...(previous?.sources.slice(1) ?? [])] }
}

/** Lets a value name another source instead of its own: the same rule, the same inclinometer. */
export function shareSource(stated: Draft<Stated>, sourceId: string): void {
  stated.sources = [sourceId, ...stated.sources.slice(1).filter((id) => id !== sourceId)]
}

/** How many values of the record name each source. */
export function sourceUses(record: unknown): Map<string, number> {
  const uses = new Map<string, number>()
  const walk = (value: unknown, top: boolean): void => {
    if (typeof value !== 'object' || value === null) return
    if (Array.isArray(value)) {
      // Columns of marks and points hold no statements.
      if (typeof value[0] === 'object') for (const item of value) walk(item, false)
      return
    }
    for (const [key, item] of Object.entries(value)) {
      if (key === 'sources' && Array.isArray(item)) {
        for (const id of item) if (typeof id === 'string') uses.set(id, (uses.get(id) ?? 0) + 1)
      } else if (!(top && (key === 'sources' || key === 'runs'))) walk(item, false)
    }
  }
  walk(record, true)
  return uses
}

/** Sources that no value names any more are taken away, so that lists of what makes up U stay true. */
export function dropUnusedSources(draft: Draft<SlowlaneRecord>): void {
  const uses = sourceUses(draft)
  for (const id of Object.keys(draft.sources)) if (!uses.has(id)) delete draft.sources[id]
}
