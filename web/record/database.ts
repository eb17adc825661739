import { openDB, type DBSchema, type IDBPDatabase } from 'idb'
import type { KeptRecord, JournalLine, Snapshot } from './journal.ts'

/** Where a clip's file lies, as far as the browser lets a page keep that. Keyed by the clip's quick key. */
export interface KeptHandle {
  readonly quickKey: string
  readonly handles: readonly FileSystemFileHandle[]
}

export interface Storage extends DBSchema {
  records: { key: string; value: KeptRecord }
  snapshots: { key: [id: string, seq: number]; value: Snapshot }
  journal: { key: [id: string, seq: number]; value: JournalLine }
  handles: { key: string; value: KeptHandle }
}

export type Database = IDBPDatabase<Storage>

const name = 'slowlane'
let opened: Promise<Database> | undefined

/** The browser's own storage for this page. Rejects where the browser refuses it; asked again, it tries again. */
export function database(): Promise<Database> {
  opened ??= open().catch((cause: unknown) => {
    opened = undefined
    throw new Error('the browser refused its storage', { cause })
  })
  return opened
}

async function open(): Promise<Database> {
  const db = await openDB<Storage>(name, 1, {
    upgrade(fresh) {
      fresh.createObjectStore('records', { keyPath: 'id' })
      fresh.createObjectStore('snapshots', { keyPath: ['id', 'seq'] })
      fresh.createObjectStore('journal', { keyPath: ['id', 'seq'] })
      fresh.createObjectStore('handles', { keyPath: 'quickKey' })
    },
    // Another tab wants a newer layout: give way, the next write opens again and fails with a sentence if it cannot.
    blocking: () => {
      db.close()
      opened = undefined
    },
    terminated: () => {
      opened = undefined
    },
  })
  return db
}

/** Every key of one record, in the stores keyed by [id, seq]. */
export const allOf = (id: string, from = 0): IDBKeyRange => IDBKeyRange.bound([id, from], [id, Number.MAX_SAFE_INTEGER])
