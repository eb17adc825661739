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

/** Two frames of a clip and the time between them. */
export interface TwoFramesClock {
  readonly clipId: string
  readonly first: number
  readonly last: number
  readonly apart_s: Stated
}

export function twoFramesOf(view: View): TwoFramesClock | null {
  const { timebase } = view
  return timebase.kind === 'measured' && timebase.clock.kind === 'two-frames' ? timebase.clock : null
}

export function setTwoFrames(view: Draft<View>, { clipId, first, last, apart_s }: TwoFramesClock): void {
  view.timebase = {
    kind: 'measured',
    clock: {
      kind: 'two-frames',
      clipId,
      first,
      last,
      apart_s: { value: apart_s.value, sources: [...apart_s.sources] },
    },
    spacing: spacingOf(view),
  }
}
