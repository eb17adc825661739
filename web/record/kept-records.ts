import { allOf, database } from './database.ts'
import { replay, type KeptRecord, type Replay } from './journal.ts'

/** The records this browser keeps, last changed first. Rejects where storage is refused. */
export async function keptRecords(): Promise<KeptRecord[]> {
  const all = await (await database()).getAll('records')
  return all.sort((a, b) => (a.changedAt < b.changedAt ? 1 : -1))
}

/** One kept record, read back from its copies and its journal. */
export async function readKept(id: string): Promise<{ entry: KeptRecord | undefined; replay: Replay }> {
  const db = await database()
  const transaction = db.transaction(['records', 'snapshots', 'journal'])
  const [entry, snapshots, journal] = await Promise.all([
    transaction.objectStore('records').get(id),
    transaction.objectStore('snapshots').getAll(allOf(id)),
    transaction.objectStore('journal').getAll(allOf(id)),
  ])
  return { entry, replay: replay(snapshots, journal) }
}

/** Removes the browser's copy. Files that were saved stay where they are. */
export async function forgetKept(id: string): Promise<void> {
  const db = await database()
  const transaction = db.transaction(['records', 'snapshots', 'journal'], 'readwrite', { durability: 'strict' })
  await Promise.all([
    transaction.objectStore('records').delete(id),
    transaction.objectStore('snapshots').delete(allOf(id)),
    transaction.objectStore('journal').delete(allOf(id)),
    transaction.done,
  ])
}
