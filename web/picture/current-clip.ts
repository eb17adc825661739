import { useEffect } from 'react'
import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { ClipFacts, OpenClip, OpenProgress } from '../../workers/bridge/decode-client.ts'
import type { Clip } from '../../workers/record/index.ts'
import { fileFor, onClipFiles, type ClipFileOutcome } from '../record/clip-files.ts'
import { sessionStore, setSession } from '../record/session.ts'
import { recordStore, useRecord } from '../record/store.ts'
import { beginWork } from '../shell/progress.ts'
import { decoding } from './decoding.ts'
import { askFrame, stopFrames } from './frame-feed.ts'
import { frameStore } from './frame-store.ts'
import { displayedSize, wholeTurn } from './orientation.ts'
import { setPicture } from './picture-store.ts'
import { clearRaster } from './raster.ts'

/** How it stands with the footage of the current clip. */
export type ClipState =
  | { readonly kind: 'none' }
  | {
      readonly kind: 'opening'
      readonly clipId: string
      readonly progress: OpenProgress | null
      readonly cancel: () => void
    }
  | { readonly kind: 'open'; readonly clipId: string; readonly facts: ClipFacts }
  | { readonly kind: 'ask'; readonly clipId: string; readonly grant: () => void }
  | { readonly kind: 'missing'; readonly clipId: string }
  | { readonly kind: 'failed'; readonly clipId: string; readonly sentence: string }

const clipStore = createStore<{ readonly state: ClipState }>(() => ({ state: { kind: 'none' } }))

/** Clips that are open in the decode thread, by the record they belong to. */
let openRecord = ''
const open = new Map<string, OpenClip>()
/** The opening that is under way. */
let opening: AbortController | null = null

/** A clip that the Footage station has just opened belongs to this id of the record. */
export function adoptClip(clipId: string, clip: OpenClip): void {
  openRecord = recordStore.getState().record.id
  open.get(clipId)?.close()
  open.set(clipId, clip)
  listenTo(clipId, clip)
  update()
}

/** Gives up a clip that came to no entry in the record. */
export function dropClip(clipId: string): void {
  open.get(clipId)?.close()
  open.delete(clipId)
}

/** Damage that is met later, or another decoder that took over, changes the facts of an open clip. */
function listenTo(clipId: string, clip: OpenClip): void {
  clip.onFacts((facts) => {
    const { state } = clipStore.getState()
    if (state.kind === 'open' && state.clipId === clipId) show({ kind: 'open', clipId, facts })
  })
}

export const openClipOf = (clipId: string | null): OpenClip | undefined =>
  clipId === null ? undefined : open.get(clipId)

export const useClipState = (): ClipState => useStore(clipStore, (s) => s.state)

/** The current clip, its facts while its file is open, and how it stands with the file. */
export function useCurrentClip(): { clip: Clip | null; facts: ClipFacts | null; state: ClipState } {
  useEffect(begin, [])
  const state = useClipState()
  const clipId = useStore(sessionStore, (s) => s.clipId)
  const clip = useRecord((r) => (clipId === null ? undefined : r.clips[clipId]))
  return { clip: clip ?? null, facts: state.kind === 'open' && state.clipId === clipId ? state.facts : null, state }
}

let begun = false
function begin(): void {
  if (begun) return
  begun = true
  sessionStore.subscribe(update)
  recordStore.subscribe(update)
  onClipFiles(() => {
    const { state } = clipStore.getState()
    if (state.kind === 'missing' || state.kind === 'failed' || state.kind === 'ask') {
      clipStore.setState({ state: { kind: 'none' } })
      update()
    }
  })
  update()
}

/** Brings picture, file and frame in step with record and session. Cheap when nothing changed. */
function update(): void {
  const { record } = recordStore.getState()
  if (record.id !== openRecord) {
    for (const clip of open.values()) clip.close()
    open.clear()
    openRecord = record.id
    show({ kind: 'none' })
  }
  const { clipId, frame } = sessionStore.getState()
  const clip = clipId === null ? undefined : record.clips[clipId]
  if (!clip) {
    const first = Object.values(record.clips)[0]
    if (first) setSession({ clipId: first.id, frame: first.trim?.first ?? 0 })
    else if (clipStore.getState().state.kind !== 'none') {
      show({ kind: 'none' })
      setPicture(null)
      stopFrames()
      clearRaster()
      frameStore.setState({ shown: null, problem: null })
    }
    return
  }
  const turn = wholeTurn(clip.rotation, clip.turn)
  setPicture(displayedSize(clip, turn))
  const adopted = open.get(clip.id)
  // Undo may have brought another file back for this clip.
  if (adopted && adopted.facts.quickKey !== clip.quickKey) {
    dropClip(clip.id)
    show({ kind: 'none' })
  }
  const { state } = clipStore.getState()
  const held = open.get(clip.id)
  if (held) {
    opening = null
    if (state.kind !== 'open' || state.clipId !== clip.id) show({ kind: 'open', clipId: clip.id, facts: held.facts })
    askFrame({ clipId: clip.id, clip: held, frame, turn })
    return
  }
  if (state.kind === 'none' || state.clipId !== clip.id) openFile(clip)
}

const show = (state: ClipState): void => clipStore.setState({ state })

function openFile(clip: Clip): void {
  opening?.abort()
  const mine = new AbortController()
  opening = mine
  stopFrames()
  clearRaster()
  frameStore.setState({ shown: null, problem: null })
  show({ kind: 'opening', clipId: clip.id, progress: null, cancel: () => mine.abort() })
  fileFor(clip.id).then(
    (outcome) => void take(clip, outcome, mine),
    (cause: unknown) => {
      if (!mine.signal.aborted) show({ kind: 'failed', clipId: clip.id, sentence: String(cause) })
    },
  )
}

async function take(clip: Clip, outcome: ClipFileOutcome, mine: AbortController): Promise<void> {
  if (opening !== mine) return
  switch (outcome.kind) {
    case 'missing':
      return show({ kind: 'missing', clipId: clip.id })
    case 'failed':
      return show({
        kind: 'failed',
        clipId: clip.id,
        sentence: `“${clip.name}” could not be fetched: ${outcome.why}. Its marks and results are here all the same.`,
      })
    case 'ask':
      return show({
        kind: 'ask',
        clipId: clip.id,
        grant: () => void outcome.grant().then((next) => take(clip, next, mine)),
      })
    case 'here':
      return await decode(clip, outcome.files, mine)
  }
}

async function decode(clip: Clip, files: readonly File[], mine: AbortController): Promise<void> {
  const work = beginWork(`Opening ${clip.name}`, '%')
  const cancel = () => mine.abort()
  work.signal.addEventListener('abort', cancel)
  show({ kind: 'opening', clipId: clip.id, progress: null, cancel })
  try {
    const outcome = await decoding().openClip(files, {
      signal: mine.signal,
      onProgress: (progress) => {
        if (opening !== mine) return
        show({ kind: 'opening', clipId: clip.id, progress, cancel })
        if (progress.fraction !== null) work.progress(Math.round(progress.fraction * 100), 100)
      },
    })
    if (outcome.kind !== 'open') {
      if (opening === mine) show({ kind: 'failed', clipId: clip.id, sentence: outcome.sentence })
      return
    }
    if (recordStore.getState().record.clips[clip.id]?.quickKey !== outcome.facts.quickKey) {
      outcome.clip.close()
      if (opening === mine)
        show({
          kind: 'failed',
          clipId: clip.id,
          sentence: `“${outcome.facts.name}” is not the clip of this record: its contents differ. Choose the file that was measured; to let a changed one stand for it, marks kept, say so on the Footage station.`,
        })
      return
    }
    adoptClip(clip.id, outcome.clip)
  } finally {
    work.end()
    if (opening === mine) opening = null
  }
}
