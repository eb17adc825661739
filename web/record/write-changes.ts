import type { SlowlaneRecord } from '../../workers/record/index.ts'
import { allOf, database } from './database.ts'
import type { JournalLine, KeptRecord, SavedFile } from './journal.ts'

const snapshotsKept = 3

/** Storage holds nothing of a record that it held: the person cleared it, or removed the copy. A whole copy makes it good again. */
export class StorageCleared extends Error {
  override readonly name = 'StorageCleared'
}

/** Another tab wrote changes of this record that this one does not know. Only where the browser has no locks. */
export class Overtaken extends Error {
  override readonly name = 'Overtaken'
}

export interface Writing {
  readonly id: string
  /** Who writes: this tab. */
  readonly writer: string
  /** The last change that storage confirmed to this tab; −1: none. */
  readonly written: number
  readonly file: SavedFile | null
}

const strict = { durability: 'strict' } as const

/** Adds changes to the journal, with a whole copy when storage has none. All of it is on the disk when this resolves, or none of it. */
export async function writeLines(
  to: Writing,
  lines: readonly JournalLine[],
  record: SlowlaneRecord,
  whole: boolean,
): Promise<void> {
  const last = lines.at(-1)
  if (!last) return
  const db = await database()
  const transaction = db.transaction(['records', 'snapshots', 'journal'], 'readwrite', strict)
  // A fault shows where the requests are awaited; this keeps it from showing twice.
  transaction.done.catch(() => undefined)
  const records = transaction.objectStore('records')
  const entry = await records.get(to.id)
  if (!entry && !whole) throw new StorageCleared(`storage holds nothing of record ${to.id} any more`)
  if (entry && entry.writer !== to.writer && entry.seq > to.written)
    throw new Overtaken(`another tab wrote change ${entry.seq} of record ${to.id}; this one knows ${to.written}`)
  const work: Promise<unknown>[] = lines.map((line) => transaction.objectStore('journal').put(line))
  if (whole) work.push(transaction.objectStore('snapshots').put({ id: to.id, seq: last.seq, record }))
  work.push(records.put(entryOf(record, last.seq, to)))
  transaction.commit()
  await Promise.all([...work, transaction.done])
}

/** Puts a whole copy beside the journal, and takes away old copies and the changes that only they needed. */
export async function writeSnapshot(id: string, seq: number, record: SlowlaneRecord): Promise<void> {
  const db = await database()
  const transaction = db.transaction(['snapshots', 'journal'], 'readwrite', strict)
  transaction.done.catch(() => undefined)
  const snapshots = transaction.objectStore('snapshots')
  const earlier = await snapshots.getAllKeys(allOf(id))
  const work: Promise<unknown>[] = [snapshots.put({ id, seq, record })]
  for (const key of earlier.slice(0, 1 - snapshotsKept)) work.push(snapshots.delete(key))
  const oldest = earlier.at(1 - snapshotsKept)
  if (oldest) work.push(transaction.objectStore('journal').delete(IDBKeyRange.bound([id, 0], oldest)))
  transaction.commit()
  await Promise.all([...work, transaction.done])
}

/** Makes room: of this record only the newest whole copy stays, and the changes after it. */
export async function freeRoom(id: string): Promise<void> {
  const db = await database()
  const transaction = db.transaction(['snapshots', 'journal'], 'readwrite', strict)
  transaction.done.catch(() => undefined)
  const snapshots = transaction.objectStore('snapshots')
  const copies = await snapshots.getAllKeys(allOf(id))
  const newest = copies.at(-1)
  const work: Promise<unknown>[] = copies.slice(0, -1).map((key) => snapshots.delete(key))
  if (newest) work.push(transaction.objectStore('journal').delete(IDBKeyRange.bound([id, 0], newest)))
  await Promise.all([...work, transaction.done])
}

/** Notes the file a record was saved to, where storage holds the record. */
export async function writeFileNote(id: string, file: SavedFile): Promise<void> {
  const db = await database()
  // One transaction: a change that is written meanwhile must not be taken back in the list.
  const transaction = db.transaction('records', 'readwrite', strict)
  transaction.done.catch(() => undefined)
  const entry = await transaction.store.get(id)
  if (entry) await transaction.store.put({ ...entry, file })
  await transaction.done
}

const entryOf = (record: SlowlaneRecord, seq: number, { writer, file }: Writing): KeptRecord => ({
  id: record.id,
  title: record.title,
  changedAt: new Date().toISOString(),
  seq,
  writer,
  counts: {
    clips: Object.keys(record.clips).length,
    lanes: Object.keys(record.lanes).length,
    runs: Object.keys(record.runs).length,
  },
  file,
})
