// Made once: making one takes as long as a thousand uses of it.
const clockManner = new Intl.DateTimeFormat(undefined, { hour: '2-digit', minute: '2-digit' })
const dayManner = new Intl.DateTimeFormat(undefined, { day: 'numeric', month: 'short' })

/** Time of day in the person's own manner; with the date when it is not today. */
export function clockTime(iso: string, now = new Date()): string {
  const when = new Date(iso)
  if (Number.isNaN(when.getTime())) return 'at an unknown time'
  const clock = clockManner.format(when)
  if (when.toDateString() === now.toDateString()) return clock
  return `${dayManner.format(when)}, ${clock}`
}

/** A duration that is about to pass: “40 s”, “3 min”, “1 h 20 min”. Rounded up: nobody minds being early. */
export function spanOf(seconds: number): string {
  if (seconds < 60) return `${Math.max(1, Math.ceil(seconds))} s`
  const minutes = Math.ceil(seconds / 60)
  if (minutes < 60) return `${minutes} min`
  const rest = minutes % 60
  return rest === 0 ? `${minutes / 60} h` : `${Math.floor(minutes / 60)} h ${rest} min`
}
