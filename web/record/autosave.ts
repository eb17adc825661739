import type { SlowlaneRecord } from '../../workers/record/index.ts'
import { allOf, database, type Database } from './database.ts'
import type { JournalLine, KeptRecord, SavedFile } from './journal.ts'
import { savedStore, type StorageFault } from './saved.ts'
import { isOpen, recordStore, type RecordState } from './store.ts'

/** A whole copy after this many changes: bounds the time of reading at start. */
const snapshotEvery = 100
const snapshotsKept = 3
const retryAfter_ms = [2_000, 10_000, 60_000]

/** The open record as far as storage is concerned. One at a time; opening another makes another. */
interface Book {
  readonly id: string
  /** Last change made in memory, and last change that storage confirmed (−1: storage holds nothing of it). */
  seq: number
  written: number
  snapshotAt: number
  waiting: JournalLine[]
  file: SavedFile | null
  needsSnapshot: boolean
  retries: number
}

let book: Book | undefined
let running: Promise<void> | undefined
let retryTimer: ReturnType<typeof setTimeout> | undefined

/** Called once. From then on every change of the open record is written; nothing before `keepFrom` has named what storage holds. */
export function startAutosave(): () => void {
  const stop = recordStore.subscribe((state, before) => {
    if (state.revision !== before.revision) follow(state)
  })
  const retry = () => void flush()
  addEventListener('online', retry)
  return () => {
    stop()
    removeEventListener('online', retry)
  }
}

/** What storage holds of a record. `repaired`: part of it did not read, so the next change brings a whole copy. */
export interface Kept {
  readonly seq: number
  readonly file: SavedFile | null
  readonly repaired: boolean
}

/** Names what storage holds of the record that is being opened: after this, and not before, changes are written. */
export function keepFrom(id: string, kept: Kept | null): void {
  clearTimeout(retryTimer)
  book = {
    id,
    seq: kept?.seq ?? 0,
    written: kept?.seq ?? -1,
    snapshotAt: kept?.seq ?? -1,
    waiting: [],
    file: kept?.file ?? null,
    needsSnapshot: kept === null || kept.repaired,
    retries: 0,
  }
  savedStore.setState({ copy: { kind: 'off' }, file: book.file, seq: book.seq })
}

function follow(state: RecordState): void {
  if (!isOpen(state) || state.last.kind === 'opened') return
  if (book?.id !== state.record.id) throw new Error(`record ${state.record.id} changed before it was opened`)
  book.seq += 1
  const { kind, name, patches } = state.last
  book.waiting.push({ id: book.id, seq: book.seq, kind, name, patches })
  const copy = savedStore.getState().copy
  savedStore.setState({
    seq: book.seq,
    copy: copy.kind === 'failed' ? { ...copy, waiting: book.waiting.length } : { kind: 'writing' },
  })
  void flush()
}

/** Writes what waits; resolves when storage confirmed it or said no. Never rejects: a fault is shown, memory goes on. */
export function flush(): Promise<void> {
  running ??= write().finally(() => {
    running = undefined
    // Changes that came while the transaction ran.
    if (book && book.waiting.length > 0 && savedStore.getState().copy.kind === 'writing') void flush()
  })
  return running
}

async function write(): Promise<void> {
  const mine = book
  if (!mine || mine.waiting.length === 0) return
  const lines = [...mine.waiting]
  const { record } = recordStore.getState()
  const whole = mine.needsSnapshot || mine.seq - mine.snapshotAt >= snapshotEvery
  try {
    await writeLines(await database(), mine, lines, whole ? record : undefined, record)
  } catch (cause) {
    if (book === mine) fail(mine, cause)
    return
  }
  if (book !== mine) return
  mine.waiting = mine.waiting.slice(lines.length)
  mine.written = lines.at(-1)?.seq ?? mine.written
  mine.retries = 0
  if (whole) {
    mine.snapshotAt = mine.written
    mine.needsSnapshot = false
  }
  savedStore.setState({
    copy: mine.waiting.length > 0 ? { kind: 'writing' } : { kind: 'kept', at: new Date().toISOString() },
  })
}

/** One transaction: the lines, the entry in the list and, when due, a whole copy; old copies and what only they needed go. */
async function writeLines(
  db: Database,
  mine: Book,
  lines: readonly JournalLine[],
  whole: SlowlaneRecord | undefined,
  record: SlowlaneRecord,
): Promise<void> {
  const last = lines.at(-1)
  if (!last) return
  const transaction = db.transaction(['records', 'snapshots', 'journal'], 'readwrite', { durability: 'strict' })
  const journal = transaction.objectStore('journal')
  const snapshots = transaction.objectStore('snapshots')
  const earlier = whole ? await snapshots.getAllKeys(allOf(mine.id)) : []
  const work: Promise<unknown>[] = [transaction.done]
  for (const line of lines) work.push(journal.put(line))
  work.push(transaction.objectStore('records').put(entryOf(record, last.seq, mine.file)))
  if (whole) {
    work.push(snapshots.put({ id: mine.id, seq: last.seq, record: whole }))
    for (const key of earlier.slice(0, 1 - snapshotsKept)) work.push(snapshots.delete(key))
    const oldest = earlier.at(1 - snapshotsKept)
    if (oldest) work.push(journal.delete(IDBKeyRange.bound([mine.id, 0], oldest)))
  }
  transaction.commit()
  await Promise.all(work)
}

const entryOf = (record: SlowlaneRecord, seq: number, file: SavedFile | null): KeptRecord => ({
  id: record.id,
  title: record.title,
  changedAt: new Date().toISOString(),
  seq,
  counts: {
    clips: Object.keys(record.clips).length,
    lanes: Object.keys(record.lanes).length,
    runs: Object.keys(record.runs).length,
  },
  file,
})

function fail(mine: Book, cause: unknown): void {
  console.error('the browser did not keep a change', cause)
  // What came after the gap is whole only with a copy of everything.
  mine.needsSnapshot = true
  savedStore.setState({ copy: { kind: 'failed', why: faultOf(cause), waiting: mine.waiting.length } })
  clearTimeout(retryTimer)
  retryTimer = setTimeout(() => void flush(), retryAfter_ms[Math.min(mine.retries, retryAfter_ms.length - 1)])
  mine.retries += 1
}

/** Which kind of no the storage said, from the exception or its causes. */
export function faultOf(cause: unknown): StorageFault {
  for (let at = cause; at instanceof Error || at instanceof DOMException; at = at.cause) {
    if (at.name === 'QuotaExceededError') return 'full'
    if (at.name === 'AbortError') return 'aborted'
  }
  return 'refused'
}

/** Remembers that the record was saved to a file. */
export async function noteSavedFile(file: SavedFile): Promise<void> {
  if (!book) return
  book.file = file
  savedStore.setState({ file })
  const { id, written } = book
  if (written < 0) return
  const db = await database()
  const entry = await db.get('records', id)
  if (entry) await db.put('records', { ...entry, file })
}
