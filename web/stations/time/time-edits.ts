import type { Draft } from 'immer'
import type { ClipClock, Stated, View } from '../../../workers/record/index.ts'

/** How much a camera's quartz may be off: within 0.1 % also when cold or warm (common practice, no source). */
export const clockHalf = 0.001

export const rateOf = (view: View): Stated | undefined =>
  view.timebase.kind === 'filmed-at' ? view.timebase.rate_hz : undefined

export const driftOf = (view: View): Stated | undefined =>
  view.timebase.kind === 'file' ? view.timebase.drift : undefined

/** Frames evenly spaced by their number, or spread as the file's timestamps are. */
export const spacingOf = (view: View): 'timestamps' | 'even' =>
  view.timebase.kind === 'filmed-at' || view.timebase.kind === 'measured' ? view.timebase.spacing : 'timestamps'

export function setRate(view: Draft<View>, rate_hz: Draft<Stated>): void {
  view.timebase = { kind: 'filmed-at', rate_hz, spacing: spacingOf(view) }
}

export function setDrift(view: Draft<View>, drift: Draft<Stated>): void {
  view.timebase = { kind: 'file', drift }
}

export function setSpacing(view: Draft<View>, spacing: 'timestamps' | 'even'): void {
  if (view.timebase.kind === 'filmed-at' || view.timebase.kind === 'measured') view.timebase.spacing = spacing
}

export type ClockKind = ClipClock['kind']
type ClockOf<Kind extends ClockKind> = Extract<ClipClock, { kind: Kind }>

/** The clock of this kind by which the view's rate was measured; null where it goes by another, or by none. */
export function clockOf<Kind extends ClockKind>(view: View, kind: Kind): ClockOf<Kind> | null {
  const { timebase } = view
  if (timebase.kind !== 'measured' || timebase.clock.kind !== kind) return null
  return timebase.clock as ClockOf<Kind>
}

export const clockKindOf = (view: View): ClockKind | null =>
  view.timebase.kind === 'measured' ? view.timebase.clock.kind : null

/** The filming rate is the one found in a clip, by this clock. */
export function setClock(view: Draft<View>, clock: Draft<ClipClock>): void {
  view.timebase = { kind: 'measured', clock, spacing: spacingOf(view) }
}

/** What was read of a clock, tried as the view's time without being recorded yet. */
export const withClock = (view: View, clock: ClipClock): View => ({
  ...view,
  timebase: { kind: 'measured', clock, spacing: spacingOf(view) },
})

/** How the rows of a sensor follow one another; without a line time the shutter counts as one for all rows. */
export function setShutter(view: Draft<View>, shutter: Draft<NonNullable<View['shutter']>> | null): void {
  if (shutter) view.shutter = shutter
  else delete view.shutter
}
