import { zipSync, type Zippable } from 'fflate'
import type { BundleFile } from './bundle.ts'

/**
 * Files as one ZIP. The entries bear the day of `createdAt` (ISO 8601), so that equal files give equal bytes wherever they are packed.
 * A date that cannot be read, or that ZIP cannot hold (before 1980, from 2100), becomes 1 January 1980.
 */
export function zipOf(files: readonly BundleFile[], createdAt: string): Uint8Array {
  const mtime = dayOf(createdAt)
  const entries: Zippable = {}
  for (const { path, bytes } of files) entries[path] = [bytes, { mtime, level: 6 }]
  return zipSync(entries)
}

/** Noon on that day of the machine's own calendar: ZIP keeps local time, and no clock is put back at noon. */
function dayOf(createdAt: string): Date {
  const day = /^(\d{4})-(\d{2})-(\d{2})/.exec(createdAt)
  const [year, month, date] = day ? [Number(day[1]), Number(day[2]), Number(day[3])] : [1980, 1, 1]
  return year >= 1980 && year < 2100 ? new Date(year, month - 1, date, 12) : new Date(1980, 0, 1, 12)
}
