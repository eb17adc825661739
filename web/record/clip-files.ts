/// <reference path="./file-pickers.d.ts" />
import type { Clip } from '../../workers/record/index.ts'
import { demoRecord, sampleAddress, usesDemoClips } from './demo.ts'
import { database } from './database.ts'
import { recordStore } from './store.ts'

/** The files of one clip: one, or numbered stills in their order. */
export type ClipFiles = readonly File[]

export type ClipFileOutcome =
  | { kind: 'here'; files: ClipFiles }
  /** The browser knows where the file lies and asks the person first: call `grant` from a click or a key. */
  | { kind: 'ask'; grant: () => Promise<ClipFileOutcome> }
  /** Nobody knows; the person picks the file again. */
  | { kind: 'missing' }
  | { kind: 'failed'; why: string }

/** Files of this tab's session, by quick key. Files are references: they hold no bytes. */
const here = new Map<string, ClipFiles>()
const listeners = new Set<() => void>()

/** Called whenever a clip's file was found or given. */
export function onClipFiles(changed: () => void): () => void {
  listeners.add(changed)
  return () => listeners.delete(changed)
}

/** Remembers a clip's files for this session and, where the browser gave handles, for later ones too. */
export async function rememberClipFiles(
  quickKey: string,
  files: ClipFiles,
  handles: readonly FileSystemFileHandle[] = [],
): Promise<void> {
  here.set(quickKey, files)
  for (const changed of listeners) changed()
  if (handles.length === 0) return
  try {
    await (await database()).put('handles', { quickKey, handles: [...handles] })
  } catch (cause) {
    // The clip works in this session; later it is asked for.
    console.warn('the place of a clip was not kept', cause)
  }
}

/** The files of a clip of the open record: from this session, from where they were last found, or from the demo's own folder. */
export async function fileFor(clipId: string): Promise<ClipFileOutcome> {
  const { record } = recordStore.getState()
  const clip = record.clips[clipId]
  if (!clip) throw new Error(`the record holds no clip ${clipId}`)
  const files = here.get(clip.quickKey)
  if (files) return { kind: 'here', files }
  const handles = await keptHandles(clip.quickKey)
  if (handles.length > 0) return await fromHandles(clip, handles)
  return usesDemoClips(record) ? await fromDemo(clip) : { kind: 'missing' }
}

async function keptHandles(quickKey: string): Promise<readonly FileSystemFileHandle[]> {
  try {
    return (await (await database()).get('handles', quickKey))?.handles ?? []
  } catch {
    // Without storage no handle was ever kept.
    return []
  }
}

async function fromHandles(
  clip: Clip,
  handles: readonly FileSystemFileHandle[],
  granted = false,
): Promise<ClipFileOutcome> {
  if (!granted) {
    const states = await Promise.all(handles.map((handle) => handle.queryPermission?.({ mode: 'read' }) ?? 'granted'))
    if (states.some((state) => state === 'prompt')) return { kind: 'ask', grant: () => ask(clip, handles) }
    if (states.some((state) => state === 'denied')) return { kind: 'missing' }
  }
  try {
    const files = await Promise.all(handles.map((handle) => handle.getFile()))
    // Another file may lie in the same place by now.
    if (files.reduce((sum, file) => sum + file.size, 0) !== clip.size) return { kind: 'missing' }
    await rememberClipFiles(clip.quickKey, files)
    return { kind: 'here', files }
  } catch {
    // Moved, renamed or deleted.
    return { kind: 'missing' }
  }
}

async function ask(clip: Clip, handles: readonly FileSystemFileHandle[]): Promise<ClipFileOutcome> {
  for (const handle of handles) {
    const answer = (await handle.requestPermission?.({ mode: 'read' })) ?? 'granted'
    if (answer !== 'granted') return { kind: 'missing' }
  }
  return await fromHandles(clip, handles, true)
}

async function fromDemo(clip: Clip): Promise<ClipFileOutcome> {
  const demo = await demoRecord()
  if (demo.kind === 'failed') return { kind: 'failed', why: demo.why }
  const same = Object.values(demo.record.clips).find((other) => other.quickKey === clip.quickKey)
  if (!same) return { kind: 'missing' }
  try {
    const response = await fetch(sampleAddress(`clips/${encodeURIComponent(same.name)}`))
    if (!response.ok)
      return { kind: 'failed', why: `the server answered ${response.status} to samples/clips/${same.name}` }
    const file = new File([await response.blob()], same.name)
    await rememberClipFiles(clip.quickKey, [file])
    return { kind: 'here', files: [file] }
  } catch (cause) {
    return { kind: 'failed', why: cause instanceof Error ? cause.message : String(cause) }
  }
}

export interface Relinked {
  /** Clips of the record whose files were found, by id. */
  readonly found: readonly string[]
  /** Files that belong to no clip of the record. */
  readonly strangers: readonly File[]
}

/**
 * Finds the clips of the open record among files that the person chose, one or a whole folder. `keyOf` computes the quick key of files
 * (in the decode worker). Only files whose size some clip has are read. Numbered stills are matched as the set that lies in one folder.
 */
export async function relink(
  chosen: readonly { readonly file: File; readonly handle?: FileSystemFileHandle }[],
  keyOf: (files: ClipFiles) => Promise<string>,
): Promise<Relinked> {
  const clips = Object.values(recordStore.getState().record.clips)
  const found: string[] = []
  const strangers: File[] = []
  const take = async (group: typeof chosen): Promise<boolean> => {
    const files = group.map(({ file }) => file)
    const size = files.reduce((sum, file) => sum + file.size, 0)
    if (!clips.some((clip) => clip.size === size)) return false
    const key = await keyOf(files)
    const matching = clips.filter((clip) => clip.quickKey === key)
    if (matching.length === 0) return false
    await rememberClipFiles(
      key,
      files,
      group.flatMap(({ handle }) => handle ?? []),
    )
    found.push(...matching.map((clip) => clip.id))
    return true
  }
  const left: (typeof chosen)[number][] = []
  for (const one of chosen) if (!(await take([one]))) left.push(one)
  for (const stills of foldersOf(left)) {
    if (stills.length > 1 && (await take(stills))) continue
    strangers.push(...stills.map(({ file }) => file))
  }
  return { found, strangers }
}

const inOrder = new Intl.Collator('en', { numeric: true })

/** Files by folder, in the order of their numbers. */
function foldersOf<T extends { readonly file: File }>(files: readonly T[]): T[][] {
  const folders = new Map<string, T[]>()
  for (const one of files) {
    const folder = one.file.webkitRelativePath.replace(/[^/]*$/, '')
    folders.set(folder, [...(folders.get(folder) ?? []), one])
  }
  return [...folders.values()].map((folder) => folder.sort((a, b) => inOrder.compare(a.file.name, b.file.name)))
}
