import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { JobResult } from '../../../workers/bridge/decode-client.ts'

type Found = Exclude<JobResult<'find-runs'>, { readonly kind: 'mirrored' }>
/** A lane's streak sheet as the decode thread hands it over. */
export type LaneSheet = Found['sheets'][number]

/** Streak sheets of the current clip: session state, made anew from the footage whenever they are wanted. */
export interface Sheets {
  readonly clipId: string | null
  /** The lane lines that the sheets follow; a line that was moved since makes its sheet stale. */
  readonly drawnFrom: ReadonlyMap<string, string>
  readonly byLane: ReadonlyMap<string, LaneSheet['tile']>
  readonly reading: boolean
  /** What the search had to say, lane by lane. */
  readonly notes: readonly string[]
}

const none: Sheets = { clipId: null, drawnFrom: new Map(), byLane: new Map(), reading: false, notes: [] }

export const sheetStore = createStore<Sheets>(() => none)
export const useSheets = (): Sheets => useStore(sheetStore)

export function beginSheets(clipId: string, drawnFrom: ReadonlyMap<string, string>): void {
  sheetStore.setState({ clipId, drawnFrom, byLane: new Map(), reading: true, notes: [] })
}

export function takeSheets(clipId: string, sheets: readonly LaneSheet[]): void {
  if (sheetStore.getState().clipId !== clipId) return
  sheetStore.setState({ byLane: new Map(sheets.map(({ lane, tile }) => [lane, tile])) })
}

export function endSheets(notes: readonly string[]): void {
  sheetStore.setState({ reading: false, notes })
}
