import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'

/** Which frame is on the raster, and how it stands with the one that was asked for. */
export interface FramesState {
  /** Clip and frame that are drawn; null when the raster is empty. */
  readonly shown: { readonly clipId: string; readonly frame: number; readonly doubtful: boolean } | null
  /** Grows by one with every drawing. */
  readonly drawn: number
  /** Waiting for a frame: set after a short while, so that quick frames do not flicker. */
  readonly waiting: boolean
  /** Why there is no picture, as a sentence. */
  readonly problem: string | null
}

export const frameStore = createStore<FramesState>(() => ({ shown: null, drawn: 0, waiting: false, problem: null }))

export function useFrames<T>(select: (state: FramesState) => T): T {
  return useStore(frameStore, select)
}
