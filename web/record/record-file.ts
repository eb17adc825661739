/// <reference path="./file-pickers.d.ts" />
import { mostCharacters, stableJson } from '../../workers/record/index.ts'
import { noteSavedFile } from './autosave.ts'
import { openText, type OpenOutcome } from './open-record.ts'
import { savedStore } from './saved.ts'
import { recordStore } from './store.ts'

/** Longest record file that is read [bytes]. */
export const largestFile_bytes = mostCharacters

const types = [{ description: 'Slowlane record', accept: { 'application/json': ['.json'] } }]

/** The file the open record was last saved to or opened from, in this tab. */
let home: { recordId: string; handle: FileSystemFileHandle } | undefined

export type SaveOutcome =
  /** Written to a file of the person's choice. */
  | { kind: 'saved'; name: string }
  /** Handed to the browser's downloads. */
  | { kind: 'downloaded'; name: string }
  | { kind: 'cancelled' }
  | { kind: 'failed'; name: string; cause: unknown }

/** Saves to the file the record has, or asks for one. `as: true` always asks. */
export async function saveRecord(options: { as: boolean }): Promise<SaveOutcome> {
  const { record } = recordStore.getState()
  const { seq } = savedStore.getState()
  const name = fileNameOf(record.title)
  if (!window.showSaveFilePicker) {
    download(new Blob([stableJson(record)], { type: 'application/json' }), name)
    await note(name, seq)
    return { kind: 'downloaded', name }
  }
  let handle: FileSystemFileHandle
  try {
    handle =
      home?.recordId === record.id && !options.as
        ? home.handle
        : await window.showSaveFilePicker({ suggestedName: name, types })
  } catch (cause) {
    if (cause instanceof DOMException && cause.name === 'AbortError') return { kind: 'cancelled' }
    return { kind: 'failed', name, cause }
  }
  try {
    // The old file stays until close(): a fault in between leaves it as it was.
    const writable = await handle.createWritable()
    await writable.write(stableJson(record))
    await writable.close()
  } catch (cause) {
    return { kind: 'failed', name: handle.name, cause }
  }
  home = { recordId: record.id, handle }
  await note(handle.name, seq)
  return { kind: 'saved', name: handle.name }
}

/** A copy as a download, whatever else failed: the way out of every fault of storage. */
export function downloadRecord(): string {
  const { record } = recordStore.getState()
  const name = fileNameOf(record.title)
  download(new Blob([stableJson(record)], { type: 'application/json' }), name)
  return name
}

async function note(name: string, seq: number): Promise<void> {
  try {
    await noteSavedFile({ name, at: new Date().toISOString(), seq })
  } catch (cause) {
    console.error('the time of saving was not kept', cause)
  }
}

export type FileOutcome = OpenOutcome | { kind: 'too-large'; size: number } | { kind: 'unreadable'; cause: unknown }

/** Opens a record file. `handle`: saving goes back to the same file. The open record stays unless the file reads. */
export async function openRecordFile(file: File, handle?: FileSystemFileHandle): Promise<FileOutcome> {
  if (file.size > largestFile_bytes) return { kind: 'too-large', size: file.size }
  let text: string
  try {
    text = await file.text()
  } catch (cause) {
    return { kind: 'unreadable', cause }
  }
  const outcome = await openText(text)
  if (outcome.kind === 'open' && handle) home = { recordId: recordStore.getState().record.id, handle }
  return outcome
}

export type Picked = { file: File; handle?: FileSystemFileHandle } | { kind: 'cancelled' }

/** Asks for a record file. */
export async function pickRecordFile(): Promise<Picked> {
  if (window.showOpenFilePicker) {
    try {
      const [handle] = await window.showOpenFilePicker({ multiple: false, types })
      return handle ? { file: await handle.getFile(), handle } : { kind: 'cancelled' }
    } catch (cause) {
      if (cause instanceof DOMException && cause.name === 'AbortError') return { kind: 'cancelled' }
      throw cause
    }
  }
  const [file] = await pickFiles('.json,application/json', false)
  return file ? { file } : { kind: 'cancelled' }
}

/** Asks for files with the browser's own dialog; an empty list when it is closed. */
export function pickFiles(accept: string, multiple: boolean): Promise<File[]> {
  return askFiles((input) => {
    input.accept = accept
    input.multiple = multiple
  })
}

/** Asks for a folder: every file in it and below. An empty list when the dialog is closed. */
export function pickFolder(): Promise<File[]> {
  return askFiles((input) => {
    input.webkitdirectory = true
  })
}

function askFiles(prepare: (input: HTMLInputElement) => void): Promise<File[]> {
  return new Promise((resolve) => {
    const input = document.createElement('input')
    input.type = 'file'
    prepare(input)
    input.addEventListener('change', () => resolve([...(input.files ?? [])]))
    input.addEventListener('cancel', () => resolve([]))
    input.click()
  })
}

/** Hands a file to the browser's downloads. */
export function download(blob: Blob, name: string): void {
  const url = URL.createObjectURL(blob)
  const link = document.createElement('a')
  link.href = url
  link.download = name
  link.click()
  // The download has its own hold on the bytes once it began; a minute covers a slow start.
  setTimeout(() => URL.revokeObjectURL(url), 60_000)
}

/** `Foyer clock, return lanes` → `foyer-clock-return-lanes.slowlane.json`. */
export function fileNameOf(title: string, ending = '.slowlane.json'): string {
  const plain = title
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 60)
  return (plain || 'record') + ending
}
