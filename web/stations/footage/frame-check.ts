import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import { inventedFrames, readRhythm, repeatedFrames } from '../../../workers/measure/frame-rhythm.ts'
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

/** Frames that were made between filmed ones and are still used; empty where none are known. */
export function inventedInUse(clip: Clip, check: FrameCheck | undefined): readonly number[] {
  if (check?.reading.kind !== 'invented') return []
  const out = new Set(clip.repeated ?? [])
  return inventedFrames(check.reading, clip.frames).filter((frame) => !out.has(frame))
}

/** Looks at every picture of the clip for frames that repeat or were not filmed. Repeats are left out at once: one entry of undo. */
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
    const repeated = reading.kind === 'repeats' ? inventedFrames(reading, clip.frames) : repeatedFrames(changes)
    checks.setState({ [clip.quickKey]: { reading, repeated } })
    leaveOut(clip, repeated, 'leave repeated frames out')
  } catch (cause) {
    if (work.signal.aborted) return
    say('wrong', `The frames could not be looked at (${cause instanceof Error ? cause.message : String(cause)}).`)
  } finally {
    work.end()
  }
}

/** Adds frames to those that are not used as new positions. */
export function leaveOut(clip: Clip, frames: readonly number[], what: string): void {
  const all = [...new Set([...(clip.repeated ?? []), ...frames])].sort((a, b) => a - b)
  if (all.length === (clip.repeated?.length ?? 0)) return
  commit(what, (draft) => {
    const held = draft.clips[clip.id]
    if (held) held.repeated = all
  })
}

export function takeAllFrames(clip: Clip): void {
  commit('use every frame again', (draft) => {
    const held = draft.clips[clip.id]
    if (held) delete held.repeated
  })
}
