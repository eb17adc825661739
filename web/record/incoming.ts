import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'

/** A file of footage that was dropped or picked and waits to be opened by the Footage station. `handle`: where the browser can find it again. */
export interface IncomingFile {
  readonly file: File
  readonly handle?: FileSystemFileHandle
}

export const incomingStore = createStore<{ readonly files: readonly IncomingFile[] }>(() => ({ files: [] }))

/** Hands footage over, from wherever on the page it was dropped or picked. */
export function offerFootage(files: readonly IncomingFile[]): void {
  if (files.length > 0) incomingStore.setState((state) => ({ files: [...state.files, ...files] }))
}

/** Takes everything that waits. */
export function takeFootage(): readonly IncomingFile[] {
  const { files } = incomingStore.getState()
  if (files.length > 0) incomingStore.setState({ files: [] })
  return files
}

/** How many files wait: the Footage station takes them when this rises above 0. */
export const useWaitingFootage = (): number => useStore(incomingStore, (state) => state.files.length)
