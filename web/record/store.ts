import { applyPatches, enablePatches, produceWithPatches, type Draft, type Patch } from 'immer'
import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import { emptyRecord, type SlowlaneRecord } from '../../workers/record/index.ts'

enablePatches()

/** One gesture, one entry, one undo. */
export interface Entry {
  readonly name: string
  readonly patches: readonly Patch[]
  readonly inverse: readonly Patch[]
}

export interface RecordState {
  readonly record: SlowlaneRecord
  /** Grows by one with every change, undo and redo included; derived values and autosave are keyed by it. */
  readonly revision: number
  readonly past: readonly Entry[]
  readonly future: readonly Entry[]
  /** Another tab holds this record, or the storage said no: looking is free, changing is not. */
  readonly readOnly: boolean
  /** What brought this revision about: autosave writes exactly this. */
  readonly last: Change
}

/** `opened`: another record took the place. Otherwise the patches lead from the revision before to this one. */
export type Change =
  | { readonly kind: 'opened' }
  | { readonly kind: 'commit' | 'undo' | 'redo' | 'late'; readonly name: string; readonly patches: readonly Patch[] }

export const recordStore = createStore<RecordState>(() => ({
  record: emptyRecord('unopened', '', ''),
  revision: 0,
  past: [],
  future: [],
  readOnly: false,
  last: { kind: 'opened' },
}))

export type CommitOutcome = { kind: 'done' } | { kind: 'nothing-changed' } | { kind: 'read-only' }

/** The one door to the record. `name` is what undo shows: "move mark", "draw lane B". A recipe that changes nothing leaves no entry. */
export function commit(name: string, recipe: (draft: Draft<SlowlaneRecord>) => void): CommitOutcome {
  const { record, past, revision, readOnly } = recordStore.getState()
  if (readOnly) return { kind: 'read-only' }
  const [next, patches, inverse] = produceWithPatches(record, (draft) => {
    recipe(draft)
  })
  if (patches.length === 0) return { kind: 'nothing-changed' }
  recordStore.setState({
    record: next,
    revision: revision + 1,
    past: [...past, { name, patches, inverse }],
    future: [],
    last: { kind: 'commit', name, patches },
  })
  return { kind: 'done' }
}

/**
 * A fact about something in the record that was read in the background and comes late, as a clip's fingerprint does. Nobody made a gesture,
 * so there is nothing to undo; it is kept like every change. It joins the entry that brought the thing at `path` in, so that redo brings both.
 * When the thing is gone by now, or changed by another tab, nothing happens.
 */
export function addLateFact(
  name: string,
  path: readonly [table: 'clips' | 'views' | 'runs', id: string],
  recipe: (draft: Draft<SlowlaneRecord>) => void,
): CommitOutcome {
  const { record, past, revision, readOnly } = recordStore.getState()
  if (readOnly) return { kind: 'read-only' }
  if (!Object.hasOwn(record[path[0]], path[1])) return { kind: 'nothing-changed' }
  const [next, patches] = produceWithPatches(record, (draft) => {
    recipe(draft)
  })
  if (patches.length === 0) return { kind: 'nothing-changed' }
  const brings = ({ op, path: to }: Patch) => op === 'add' && to.length === 2 && to[0] === path[0] && to[1] === path[1]
  const at = past.findLastIndex((entry) => entry.patches.some(brings))
  recordStore.setState({
    record: next,
    revision: revision + 1,
    past: past.map((entry, i) => (i === at ? { ...entry, patches: [...entry.patches, ...patches] } : entry)),
    last: { kind: 'late', name, patches },
  })
  return { kind: 'done' }
}

export function undo(): Entry | undefined {
  const { record, past, future, revision, readOnly } = recordStore.getState()
  const entry = past.at(-1)
  if (!entry || readOnly) return undefined
  recordStore.setState({
    record: applyPatches(record, [...entry.inverse]),
    revision: revision + 1,
    past: past.slice(0, -1),
    future: [...future, entry],
    last: { kind: 'undo', name: entry.name, patches: entry.inverse },
  })
  return entry
}

export function redo(): Entry | undefined {
  const { record, past, future, revision, readOnly } = recordStore.getState()
  const entry = future.at(-1)
  if (!entry || readOnly) return undefined
  recordStore.setState({
    record: applyPatches(record, [...entry.patches]),
    revision: revision + 1,
    past: [...past, entry],
    future: future.slice(0, -1),
    last: { kind: 'redo', name: entry.name, patches: entry.patches },
  })
  return entry
}

/** Replaces the open record: a new one, one from a file, one recovered. History starts afresh. */
export function showRecord(record: SlowlaneRecord, readOnly = false): void {
  recordStore.setState((state) => ({
    record,
    revision: state.revision + 1,
    past: [],
    future: [],
    readOnly,
    last: { kind: 'opened' },
  }))
}

/** Forbids or allows changes to the open record without touching it. */
export const setReadOnly = (readOnly: boolean): void => recordStore.setState({ readOnly })

/** The id of the state before any record is opened. Never stored. */
export const unopenedId = 'unopened'

export const isOpen = (state: RecordState): boolean => state.record.id !== unopenedId

export function useRecord<T>(select: (record: SlowlaneRecord) => T): T {
  return useStore(recordStore, (state) => select(state.record))
}

export function useRecordState<T>(select: (state: RecordState) => T): T {
  return useStore(recordStore, select)
}
