import type { SlowlaneRecord } from '../../workers/record/index.ts'

/**
 * Remembers what was made from a record for as long as that record is in use: a station's state is asked at every change of the session too, such as
 * a step of one frame, and the record is then the same. Records never change in place.
 */
export function perRecord<T>(make: (record: SlowlaneRecord) => T): (record: SlowlaneRecord) => T {
  const held = new WeakMap<SlowlaneRecord, { readonly made: T }>()
  return (record) => {
    let known = held.get(record)
    if (!known) held.set(record, (known = { made: make(record) }))
    return known.made
  }
}
