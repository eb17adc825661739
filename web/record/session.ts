import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'

export const stations = [
  'footage',
  'time',
  'scale',
  'lanes',
  'marks',
  'results',
  'compare',
  'margin',
  'handover',
] as const
export type StationName = (typeof stations)[number]

/** `welcome` before a record is opened; `kept`: the records this browser keeps. */
export type Place = StationName | 'welcome' | 'about' | 'kept'

/** What is being looked at: apart from the record, outside undo, gone with the tab. */
export interface Session {
  readonly place: Place
  readonly clipId: string | null
  readonly frame: number
  readonly laneId: string | null
  readonly runId: string | null
  /** What is selected on the picture, e.g. `{ kind: 'mark', … }`; stations narrow it. */
  readonly selected: Selection | null
  /** Step to this many frames further after a click. */
  readonly everyNth: number
}

export type Selection =
  | { kind: 'mark'; runId: string; frame: number }
  | { kind: 'plane-point'; planeId: string; point: number }
  | { kind: 'line-point'; laneId: string; point: number }
  | { kind: 'gravity-point'; lineId: string; point: number }

/** A session in which nothing is chosen: at start, and when another record is opened. */
export const nothingChosen = {
  clipId: null,
  frame: 0,
  laneId: null,
  runId: null,
  selected: null,
} satisfies Partial<Session>

export const sessionStore = createStore<Session>(() => ({ place: 'welcome', ...nothingChosen, everyNth: 1 }))

export function useSession<T>(select: (session: Session) => T): T {
  return useStore(sessionStore, select)
}

export const setSession = (change: Partial<Session>): void => sessionStore.setState(change)
