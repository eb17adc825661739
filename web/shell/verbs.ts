import { useSyncExternalStore } from 'react'
import { demoRecord, practiceRecord } from '../record/demo.ts'
import { offerFootage, type IncomingFile } from '../record/incoming.ts'
import { newId } from '../record/new-id.ts'
import { mayLeave, newRecord, openKept, openUnkept, type OpenOutcome } from '../record/open-record.ts'
import { askPersistence } from '../record/persistence.ts'
import { openRecordFile, pickFiles, pickRecordFile, saveRecord, downloadRecord } from '../record/record-file.ts'
import { mayBeClearedSentence, openSentence, saveSentence, wouldLoseSentence } from '../record/sentences.ts'
import { isOpen, recordStore, redo, undo } from '../record/store.ts'
import type { StationName } from '../record/session.ts'
import { stationList, stationNamed } from '../stations/registry.ts'
import { say } from './messages.ts'
import { prefer, preferenceStore } from './preferences.ts'
import { goTo } from './route.ts'

/** What menus, keys and the welcome page do. Each says what came of it. */

export function undoVerb(): void {
  const entry = undo()
  if (entry) say('told', `Undone: ${entry.name}.`, { key: 'undo' })
}

export function redoVerb(): void {
  const entry = redo()
  if (entry) say('told', `Done again: ${entry.name}.`, { key: 'undo' })
}

export async function saveVerb(as = false): Promise<void> {
  if (!isOpen(recordStore.getState())) return
  // A field that is being typed in belongs to what is saved.
  if (document.activeElement instanceof HTMLElement) document.activeElement.blur()
  const outcome = await saveRecord({ as })
  const sentence = saveSentence(outcome)
  if (sentence) say(outcome.kind === 'failed' ? 'wrong' : 'told', sentence, { key: 'save' })
}

/** True when the open record may give way. Otherwise the way out is offered. */
async function leave(): Promise<boolean> {
  if (!isOpen(recordStore.getState()) || (await mayLeave())) return true
  say('wrong', wouldLoseSentence, {
    key: 'leave',
    action: { label: 'Save to a file', run: () => void downloadRecord() },
  })
  return false
}

/** Says what opening came to. */
export function tellOpened(outcome: OpenOutcome, name: string): void {
  const sentence = openSentence(outcome, name)
  if (sentence) say(outcome.kind === 'open' ? 'caution' : 'wrong', sentence, { key: 'open' })
  if (outcome.kind === 'open') forgetDemoAddress()
}

/** `?demo` names the demo only; another record that took its place must not be lost behind it on reload. */
function forgetDemoAddress(): void {
  const url = new URL(location.href)
  if (!url.searchParams.has('demo')) return
  url.searchParams.delete('demo')
  history.replaceState(null, '', url)
}

const firstBuilt = (wish: StationName): StationName => stationNamed(wish)?.name ?? stationList[0]?.name ?? 'footage'

export async function newRecordVerb(): Promise<void> {
  if (!(await leave())) return
  await newRecord('Untitled record')
  forgetDemoAddress()
  goTo('footage')
}

export async function openFileVerb(file: File, handle?: FileSystemFileHandle): Promise<void> {
  if (!(await leave())) return
  const outcome = await openRecordFile(file, handle)
  if (outcome.kind === 'too-large' || outcome.kind === 'unreadable')
    say('wrong', openSentence(outcome, file.name) ?? '', { key: 'open' })
  else {
    tellOpened(outcome, file.name)
    if (outcome.kind === 'open') goTo(placeToBegin())
  }
}

export async function openVerb(): Promise<void> {
  const picked = await pickRecordFile()
  if ('file' in picked) await openFileVerb(picked.file, picked.handle)
}

export async function openKeptVerb(id: string, title: string): Promise<void> {
  if (!(await leave())) return
  const outcome = await openKept(id)
  tellOpened(outcome, title)
  if (outcome.kind === 'open') goTo(placeToBegin())
}

/** Where an opened record is taken up: its results when it has runs, else its footage. */
const placeToBegin = (): StationName =>
  firstBuilt(Object.keys(recordStore.getState().record.runs).length > 0 ? 'results' : 'footage')

const footageTypes = 'video/*,image/*,.avi,.mkv,.mov,.mp4,.m4v,.webm,.mts,.m2ts,.ts,.mxf,.gif,.apng,.zip'

/** Footage goes into the open record, or into a new one. */
export async function openFootage(files: readonly IncomingFile[]): Promise<void> {
  if (files.length === 0) return
  if (!isOpen(recordStore.getState())) {
    await newRecord(titleFrom(files))
    void askToKeep()
  }
  offerFootage(files)
  goTo('footage')
}

/** A first record of one's own is worth keeping. The browser may ask the person; when it promises nothing, that is said once. */
async function askToKeep(): Promise<void> {
  const promise = await askPersistence().catch(() => 'unknown' as const)
  if (promise !== 'may-be-cleared' || preferenceStore.getState().toldOfClearing) return
  say('told', mayBeClearedSentence)
  prefer({ toldOfClearing: true })
}

export async function pickFootageVerb(): Promise<void> {
  await openFootage((await pickFiles(footageTypes, true)).map((file) => ({ file })))
}

/** `IMG_0042.MOV` says nothing; a folder or a worded name does. */
function titleFrom(files: readonly IncomingFile[]): string {
  const name =
    files[0]?.file.name
      .replace(/\.[^.]*$/, '')
      .replace(/[_-]+/g, ' ')
      .trim() ?? ''
  const worded = /\p{L}{3,}.*\p{L}{3,}|^\p{L}{5,}/u.test(name)
  return worded ? name.slice(0, 80) : 'Untitled record'
}

export async function showDemo(which: 'demo' | 'practice'): Promise<void> {
  if (!(await leave())) return
  const demo = await demoRecord()
  if (demo.kind === 'failed') {
    say('wrong', `The demo could not be opened: ${demo.why}. Your own footage works all the same.`, { key: 'open' })
    goTo('welcome', 'instead')
    return
  }
  const record = which === 'demo' ? demo.record : practiceRecord(demo.record, newId(), new Date().toISOString())
  await openUnkept(record)
  goTo(firstBuilt(which === 'demo' ? 'results' : 'footage'), location.hash.startsWith('#/demo') ? 'instead' : 'after')
}

/** The name of the entry that undo or redo would take, for buttons. */
export function useHistory(): { undo: string | undefined; redo: string | undefined } {
  const past = useSyncExternalStore(recordStore.subscribe, () => recordStore.getState().past.at(-1)?.name)
  const future = useSyncExternalStore(recordStore.subscribe, () => recordStore.getState().future.at(-1)?.name)
  return { undo: past, redo: future }
}
