import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { SavedFile } from './journal.ts'

/** What became of the copy in the browser. `off`: nothing changed yet, or no record is open. */
export type BrowserCopy =
  | { kind: 'off' }
  /** `before`: when the browser last confirmed a copy; null: never since the record was opened. */
  | { kind: 'writing'; before: string | null }
  | { kind: 'kept'; at: string }
  | { kind: 'failed'; why: StorageFault; waiting: number }
  | { kind: 'read-only' }

/** Why the browser did not keep a change. `silent`: it says neither yes nor no. `overtaken`: another tab wrote the same record. */
export type StorageFault = 'full' | 'refused' | 'aborted' | 'silent' | 'overtaken'

export interface Saved {
  readonly copy: BrowserCopy
  readonly file: SavedFile | null
  /** Number of the last change that was made in the open record. */
  readonly seq: number
}

export const savedStore = createStore<Saved>(() => ({ copy: { kind: 'off' }, file: null, seq: 0 }))

export function useSaved<T>(select: (saved: Saved) => T): T {
  return useStore(savedStore, select)
}
