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
}

export const recordStore = createStore<RecordState>(() => ({
  record: emptyRecord('unopened', '', ''),
  revision: 0,
  past: [],
  future: [],
  readOnly: false,
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
  })
  return entry
}

/** Replaces the open record: a new one, one from a file, one recovered. History starts afresh. */
export function showRecord(record: SlowlaneRecord, readOnly = false): void {
  recordStore.setState((state) => ({ record, revision: state.revision + 1, past: [], future: [], readOnly }))
}

export function useRecord<T>(select: (record: SlowlaneRecord) => T): T {
  return useStore(recordStore, (state) => select(state.record))
}

export function useRecordState<T>(select: (state: RecordState) => T): T {
  return useStore(recordStore, select)
}
