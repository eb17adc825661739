import type { ComponentType } from 'react'
import type { SlowlaneRecord } from '../../workers/record/index.ts'
import { stations, type Session, type StationName } from '../record/session.ts'

export type StationState = 'not-started' | 'attention' | 'ready'

/** The one thing that helps now: `text`, then the action as a link, then `after`: “138 marks found, 3 unsure. [Step through them] N”. */
export interface NextStep {
  readonly text: string
  readonly action?: { readonly label: string; readonly run: () => void; readonly key?: string }
  readonly after?: string
}

/**
 * One station. `state` and `next` are asked at every change of record or session and must be cheap.
 * `Page` is made with `lazy`, so that a station's code arrives when it is first shown.
 * `subscribe`: for states that rest on results computed elsewhere; calls back when they may have changed.
 */
export interface Station {
  readonly name: StationName
  readonly label: string
  readonly Page: ComponentType
  readonly state: (record: SlowlaneRecord, session: Session) => StationState
  readonly next: (record: SlowlaneRecord, session: Session) => NextStep | null
  readonly subscribe?: (changed: () => void) => () => void
}

/** A folder with a `station.ts` that exports `station` is a station; what is not built is not shown. */
const found = import.meta.glob<Station>('./*/station.ts', { eager: true, import: 'station' })

const byName = new Map(Object.values(found).map((station) => [station.name, station]))

/** The stations that exist, in the order of the work. */
export const stationList: readonly Station[] = stations.flatMap((name) => byName.get(name) ?? [])

export const stationNamed = (name: string): Station | undefined => byName.get(name as StationName)
