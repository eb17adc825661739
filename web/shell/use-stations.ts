import { useEffect, useReducer } from 'react'
import { sessionStore, useSession, type Session } from '../record/session.ts'
import { useRecord } from '../record/store.ts'
import { stationList } from '../stations/registry.ts'
import type { SlowlaneRecord } from '../../workers/record/index.ts'

/** Record and session, and a render whenever a station's own results changed. */
export function useRecordAndSession(): { record: SlowlaneRecord; session: Session } {
  const record = useRecord((r) => r)
  useSession((s) => s)
  const [, again] = useReducer((n: number) => n + 1, 0)
  useEffect(() => {
    const ends = stationList.map((station) => station.subscribe?.(again))
    return () => ends.forEach((end) => end?.())
  }, [])
  return { record, session: sessionStore.getState() }
}
