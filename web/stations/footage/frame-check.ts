import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import { framesBetween, readRhythm, repeatedFrames } from '../../../workers/measure/frame-rhythm.ts'
import type { InventedReading } from '../../../workers/measure/invented-frames.ts'
import type { Clip } from '../../../workers/record/index.ts'
import { openClipOf } from '../../picture/current-clip.ts'
import { commit } from '../../record/store.ts'
import { say } from '../../shell/messages.ts'
import { beginWork } from '../../shell/progress.ts'

/** What the pictures of a clip said about its frames. Made from pixels, so it is gone with the tab; what follows from it is in the record. */
export interface FrameCheck {
  readonly reading: InventedReading
  /** Frames that repeat the one before, by picture. */
  readonly repeated: readonly number[]
}

const checks = createStore<Readonly<Record<string, FrameCheck>>>(() => ({}))

export const useFrameCheck = (clip: Clip | null): FrameCheck | undefined =>
  useStore(checks, (s) => (clip ? s[clip.quickKey] : undefined))

/** Looks at every picture of the clip for frames that repeat or were not filmed. Repeats are left out at once, and which frames were
 *  filmed is kept in the record: one entry of undo. */
export async function checkFrames(clip: Clip): Promise<void> {
  const open = openClipOf(clip.id)
  if (!open) return
  const first = clip.trim?.first ?? 0
  const last = clip.trim?.last ?? clip.frames - 1
  const count = last - first + 1
  const work = beginWork(`Looking at the frames of ${clip.name}`, 'frames')
  try {
    const changes = await open.run(
      'frame-changes',
      { first, last },
      { signal: work.signal, onProgress: ({ fraction }) => work.progress(Math.round(fraction * count), count) },
    )
    const reading = readRhythm(changes)
    const repeated =
      reading.kind === 'repeats'
        ? framesBetween(reading.every, reading.firstReal, clip.frames)
        : repeatedFrames(changes)
    checks.setState({ [clip.quickKey]: { reading, repeated } })
    keep(clip, reading, repeated)
  } catch (cause) {
    if (work.signal.aborted) return
    say('wrong', `The frames could not be looked at (${cause instanceof Error ? cause.message : String(cause)}).`)
  } finally {
    work.end()
  }
}

function keep(clip: Clip, reading: InventedReading, repeated: readonly number[]): void {
  const all = withFrames(clip.repeated, repeated)
  const filmed = reading.kind === 'invented' ? { every: reading.every, first: reading.firstReal } : undefined
  const known = clip.filmedFrames
  const sameFilmed = filmed?.every === known?.every && filmed?.first === known?.first
  if (sameFilmed && all.length === (clip.repeated?.length ?? 0)) return
  commit(sameFilmed ? 'leave repeated frames out' : 'look at every frame', (draft) => {
    const held = draft.clips[clip.id]
    if (!held) return
    if (all.length > 0) held.repeated = all
    if (filmed) held.filmedFrames = filmed
    else delete held.filmedFrames
  })
}

const withFrames = (known: readonly number[] | undefined, more: readonly number[]): number[] =>
  [...new Set([...(known ?? []), ...more])].sort((a, b) => a - b)

/** Adds frames to those that are not used as new positions. */
export function leaveOut(clip: Clip, frames: readonly number[], what: string): void {
  const all = withFrames(clip.repeated, frames)
  if (all.length === (clip.repeated?.length ?? 0)) return
  commit(what, (draft) => {
    const held = draft.clips[clip.id]
    if (held) held.repeated = all
  })
}

/** The person knows better: every frame was filmed. */
export function takeAsFilmed(clip: Clip): void {
  commit('take every frame as filmed', (draft) => {
    const held = draft.clips[clip.id]
    if (held) delete held.filmedFrames
  })
}

export function takeAllFrames(clip: Clip): void {
  commit('use every frame again', (draft) => {
    const held = draft.clips[clip.id]
    if (held) delete held.repeated
  })
}
