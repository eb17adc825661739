import type { Draft } from 'immer'
import type { Stated, View } from '../../../workers/record/index.ts'

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
