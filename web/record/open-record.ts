import {
  emptyRecord,
  readRecord,
  stableJson,
  type ReadOutcome,
  type SlowlaneRecord,
} from '../../workers/record/index.ts'
import { flush, keepFrom, type Kept } from './autosave.ts'
import type { KeptRecord, Replay } from './journal.ts'
import { readKept } from './kept-records.ts'
import { newId } from './new-id.ts'
import { lockRecord, type LockOutcome } from './record-lock.ts'
import { nothingChosen, setSession } from './session.ts'
import { savedStore } from './saved.ts'
import { recordStore, setReadOnly, showRecord } from './store.ts'

/** This tab's open record, so that a reload comes back to it. */
const openKey = 'slowlane-open'

let lock: LockOutcome = { kind: 'unknown' }

export type OpenOutcome =
  | { kind: 'open'; readOnly: boolean; migratedFrom: number | null; lost: number }
  | Exclude<ReadOutcome, { kind: 'ok' }>
  | { kind: 'not-kept' }
  | { kind: 'storage'; cause: unknown }

/** Told when another tab holds the record, when it became writable here, and when taking it over failed. */
type Watcher = (
  event: { kind: 'became-writable' } | { kind: 'other-tab' } | { kind: 'not-taken'; cause: unknown },
) => void
let watcher: Watcher = () => undefined
export const watchLock = (to: Watcher): void => {
  watcher = to
}

/** True when storage holds everything, or nothing was changed: another record may take the place without loss. */
export async function mayLeave(): Promise<boolean> {
  await flush()
  return savedStore.getState().copy.kind !== 'failed'
}

/** A new, empty record. It is kept from its first change on. */
export async function newRecord(title: string): Promise<void> {
  await show(emptyRecord(newId(), title, new Date().toISOString()), null, 0)
}

/** A record that is not in storage yet: the demo, a practice copy. */
export async function openUnkept(record: SlowlaneRecord): Promise<OpenOutcome> {
  return await show({ ...record, id: newId() }, null, 0)
}

/** A record from the text of a file. Nothing changes unless it reads. A record that this browser keeps goes on under its own id. */
export async function openText(text: string): Promise<OpenOutcome> {
  const read = readRecord(text)
  if (read.kind !== 'ok') return read
  const kept = await readKept(read.record.id).catch(() => undefined)
  if (kept?.entry === undefined) return await show(read.record, null, 0, read.migratedFrom)
  // The file and the browser's copy may differ: the copy stays as it is, the file opens beside it.
  const same = kept.replay.kind === 'whole' && stableJson(kept.replay.record) === stableJson(read.record)
  if (same) return await openKept(read.record.id)
  return await show({ ...read.record, id: newId() }, null, 0, read.migratedFrom)
}

/** A record from this browser's storage. */
export async function openKept(id: string): Promise<OpenOutcome> {
  let found: Awaited<ReturnType<typeof readKept>>
  try {
    found = await readKept(id)
  } catch (cause) {
    return { kind: 'storage', cause }
  }
  const { entry, replay } = found
  switch (replay.kind) {
    case 'nothing':
      return { kind: 'not-kept' }
    case 'too-new':
      return replay
    case 'whole':
    case 'shortened': {
      const kept = keptAs(replay, entry)
      return await show(replay.record, kept, replay.kind === 'shortened' ? replay.lost : 0)
    }
  }
}

/** Where numbering goes on: behind the lines that did not read, so that no number is used twice. */
function keptAs(replay: Extract<Replay, { kind: 'whole' | 'shortened' }>, entry: KeptRecord | undefined): Kept {
  const lost = replay.kind === 'shortened' ? replay.lost : 0
  return { seq: replay.seq + lost, file: entry?.file ?? null, repaired: lost > 0 }
}

/** The record this tab had open before a reload; null where the browser keeps nothing for the page. */
export function openBefore(): string | null {
  try {
    return sessionStorage.getItem(openKey)
  } catch {
    return null
  }
}

function rememberOpen(id: string): void {
  try {
    sessionStorage.setItem(openKey, id)
  } catch {
    // A reload begins at the first screen, where the kept records are.
  }
}

async function show(
  record: SlowlaneRecord,
  kept: Kept | null,
  lost: number,
  migratedFrom: number | null = null,
): Promise<OpenOutcome> {
  // Held already when the open record is opened anew; of another record the lock comes before this one's is given back.
  const again = lock.kind === 'held' && recordStore.getState().record.id === record.id
  const mine = again ? lock : await lockRecord(record.id)
  await flush()
  if (!again) leaveLock()
  lock = mine
  keepFrom(record.id, kept)
  showRecord(record, mine.kind === 'taken')
  setSession(nothingChosen)
  rememberOpen(record.id)
  if (mine.kind === 'taken') {
    savedStore.setState({ copy: { kind: 'read-only' } })
    watcher({ kind: 'other-tab' })
    mine.free.then(
      (release) => void takeOver(record.id, mine, release),
      () => undefined,
    )
  }
  return { kind: 'open', readOnly: mine.kind === 'taken', migratedFrom, lost }
}

/** The other tab is gone: read what it wrote, then allow changes. */
async function takeOver(id: string, waited: LockOutcome, release: () => void): Promise<void> {
  if (lock !== waited) {
    release()
    return
  }
  lock = { kind: 'held', release }
  try {
    const { entry, replay } = await readKept(id)
    // Another record may have been opened while this one was read.
    if (recordStore.getState().record.id !== id) return
    if (replay.kind === 'whole' || replay.kind === 'shortened') {
      keepFrom(id, keptAs(replay, entry))
      showRecord(replay.record)
    } else {
      // Nothing was kept over there: what is shown here is all there is.
      keepFrom(id, null)
      setReadOnly(false)
    }
    watcher({ kind: 'became-writable' })
  } catch (cause) {
    watcher({ kind: 'not-taken', cause })
  }
}

function leaveLock(): void {
  if (lock.kind === 'held') lock.release()
  if (lock.kind === 'taken') lock.giveUp()
  lock = { kind: 'unknown' }
}
