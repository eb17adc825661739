import { useDeferredValue, useEffect, useMemo, useReducer } from 'react'
import { useSession, type Session } from '../record/session.ts'
import { useRecord } from '../record/store.ts'
import { stationList } from '../stations/registry.ts'
import type { SlowlaneRecord } from '../../workers/record/index.ts'

/** What the stations are asked about: the same object for as long as nothing changed. */
export interface Asked {
  readonly record: SlowlaneRecord
  readonly session: Session
  /** Grows whenever a station's own results changed. */
  readonly results: number
}

/**
 * Record, session and the stations' own results, a moment behind. On a large record asking every station takes longer than a key may: what the key
 * does is drawn first and this after it, and the next key breaks it off.
 */
export function useAsked(): Asked {
  const [count, again] = useReducer((n: number) => n + 1, 0)
  useEffect(() => {
    const ends = stationList.map((station) => station.subscribe?.(again))
    return () => ends.forEach((end) => end?.())
  }, [])
  const record = useDeferredValue(useRecord((r) => r))
  const session = useDeferredValue(useSession((s) => s))
  const results = useDeferredValue(count)
  return useMemo(() => ({ record, session, results }), [record, session, results])
}
