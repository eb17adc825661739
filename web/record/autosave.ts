import type { JournalLine, SavedFile } from './journal.ts'
import { newId } from './new-id.ts'
import { savedStore, type BrowserCopy, type StorageFault } from './saved.ts'
import { isOpen, recordStore, type RecordState } from './store.ts'
import { freeRoom, Overtaken, StorageCleared, writeFileNote, writeLines, writeSnapshot } from './write-changes.ts'

/** A whole copy after this many changes: bounds the time of reading at start. */
const snapshotEvery = 100
/** After a whole copy that could not be written, this many changes later again: the journal alone still holds everything. */
const snapshotAgainAfter = 20
const retryAfter_ms = [2_000, 10_000, 60_000]
/** Storage that says neither yes nor no for so long is told to the person as a fault. */
const silence_ms = 15_000

/** The open record as far as storage is concerned. One at a time; opening another makes another. */
interface Book {
  readonly id: string
  /** Last change made in memory, and last change that storage confirmed (−1: storage holds nothing of it). */
  seq: number
  written: number
  /** A whole copy is due from this change on. */
  snapshotDue: number
  waiting: readonly JournalLine[]
  file: SavedFile | null
  /** Storage has no copy that the journal could start from. */
  needsWhole: boolean
  retries: number
}

const writer = newId()
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
  const seq = kept?.seq ?? 0
  book = {
    id,
    seq,
    written: kept?.seq ?? -1,
    snapshotDue: seq + snapshotEvery,
    waiting: [],
    file: kept?.file ?? null,
    needsWhole: kept === null || kept.repaired,
    retries: 0,
  }
  savedStore.setState({ copy: { kind: 'off' }, file: book.file, seq })
}

function follow(state: RecordState): void {
  if (!isOpen(state) || state.last.kind === 'opened') return
  if (book?.id !== state.record.id) throw new Error(`record ${state.record.id} changed before it was opened`)
  book.seq += 1
  const { kind, name, patches } = state.last
  book.waiting = [...book.waiting, { id: book.id, seq: book.seq, kind, name, patches }]
  const { copy } = savedStore.getState()
  savedStore.setState({
    seq: book.seq,
    copy:
      copy.kind === 'failed' ? { ...copy, waiting: book.waiting.length } : { kind: 'writing', before: lastKept(copy) },
  })
  void flush()
}

const lastKept = (copy: BrowserCopy): string | null =>
  copy.kind === 'kept' ? copy.at : copy.kind === 'writing' ? copy.before : null

/** Writes all that waits; resolves when storage confirmed it, said no, or kept silent. Never rejects: a fault is shown, memory goes on. */
export function flush(): Promise<void> {
  running ??= untilWritten().finally(() => (running = undefined))
  let silence: ReturnType<typeof setTimeout> | undefined
  const before = book?.written
  const silent = new Promise<void>((resolve) => {
    silence = setTimeout(() => {
      if (book && book.written === before && savedStore.getState().copy.kind === 'writing') show(book, 'silent')
      resolve()
    }, silence_ms)
  })
  return Promise.race([running, silent]).finally(() => clearTimeout(silence))
}

async function untilWritten(): Promise<void> {
  // Changes that come while a transaction runs go with the next one.
  while (book && book.waiting.length > 0) if (!(await write(book))) return
}

/** One transaction; true when storage confirmed it. */
async function write(mine: Book): Promise<boolean> {
  const lines = mine.waiting
  const { record } = recordStore.getState()
  const whole = mine.needsWhole
  try {
    await writeLines({ ...mine, writer }, lines, record, whole)
  } catch (cause) {
    return book === mine ? await fail(mine, cause) : true
  }
  mine.waiting = mine.waiting.slice(lines.length)
  mine.written = lines.at(-1)?.seq ?? mine.written
  mine.retries = 0
  if (whole) {
    mine.needsWhole = false
    mine.snapshotDue = mine.written + snapshotEvery
  }
  if (book !== mine) return true
  const at = new Date().toISOString()
  savedStore.setState({ copy: mine.waiting.length > 0 ? { kind: 'writing', before: at } : { kind: 'kept', at } })
  if (mine.written >= mine.snapshotDue) whenIdle(() => void snapshot(mine))
  return true
}

/** A whole copy takes a while for a large record, so it waits for a pause; the changes themselves never do. */
function whenIdle(run: () => void): void {
  // Absent in some browsers, whatever the type says.
  const idle: typeof requestIdleCallback | undefined = globalThis.requestIdleCallback
  if (idle) idle(run, { timeout: 5_000 })
  else setTimeout(run, 200)
}

async function snapshot(mine: Book): Promise<void> {
  if (book !== mine || mine.seq < mine.snapshotDue) return
  const { seq } = mine
  mine.snapshotDue = seq + snapshotEvery
  try {
    await writeSnapshot(mine.id, seq, recordStore.getState().record)
  } catch (cause) {
    console.warn('a whole copy was not kept; the journal holds every change', cause)
    mine.snapshotDue = seq + snapshotAgainAfter
  }
}

/** True when the same changes may be tried again at once. */
async function fail(mine: Book, cause: unknown): Promise<boolean> {
  if (cause instanceof StorageCleared) {
    mine.needsWhole = true
    return true
  }
  console.error('the browser did not keep a change', cause)
  const why = faultOf(cause)
  show(mine, why)
  clearTimeout(retryTimer)
  // What another tab wrote would be mixed with ours.
  if (why === 'overtaken') return false
  if (why === 'full' && mine.retries === 0) await freeRoom(mine.id).catch(() => undefined)
  retryTimer = setTimeout(() => void flush(), retryAfter_ms[Math.min(mine.retries, retryAfter_ms.length - 1)])
  mine.retries += 1
  return false
}

function show(mine: Book, why: StorageFault): void {
  savedStore.setState({ copy: { kind: 'failed', why, waiting: mine.waiting.length } })
}

/** Which kind of no the storage said, from the exception or its causes. */
export function faultOf(cause: unknown): StorageFault {
  for (let at = cause; at instanceof Error || at instanceof DOMException; at = at.cause) {
    if (at instanceof Overtaken) return 'overtaken'
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
  if (book.written >= 0) await writeFileNote(book.id, file)
}
