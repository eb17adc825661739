import type { SlowlaneRecord } from '../../workers/record/index.ts'

/**
 * Remembers what was made from a record until another record comes: a station's state is asked at every change of the session too, such as a step
 * of one frame, and the record is then the same.
 */
export function perRecord<T>(make: (record: SlowlaneRecord) => T): (record: SlowlaneRecord) => T {
  let from: SlowlaneRecord | undefined
  let made: T
  return (record) => {
    if (record !== from) {
      made = make(record)
      from = record
    }
    return made
  }
}
