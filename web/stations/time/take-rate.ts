import type { Clip, RatePiece, View } from '../../../workers/record/index.ts'
import { commit } from '../../record/store.ts'
import { dropUnusedSources, writeStated } from '../stated/stated-edits.ts'
import { setPieces } from './piece-edits.ts'
import { clockHalf, driftOf, rateOf, setDrift, setRate } from './time-edits.ts'

/** The camera filmed at this rate: as its setting, its display or the file's tag says. */
export function takeRate(view: View, rate_hz: number, basis: string): void {
  commit(`filmed at ${rate_hz}`, (draft) => {
    const held = draft.views[view.id]
    if (!held) return
    const distribution = { kind: 'rectangular', half: clockHalf * rate_hz } as const
    const entry = { value: rate_hz, distribution, basis, unknown: false }
    setRate(held, writeStated(draft, rateOf(view), entry, { name: 'filming rate', unit: 'Hz' }))
    dropUnusedSources(draft)
  })
}

export const takeTag = (view: View, rate_hz: number): void =>
  takeRate(view, rate_hz, 'the file’s tag; a quartz holds it to 0.1 %')

/** The file's timestamps are real time. */
export function takeFileTime(view: View): void {
  commit('use the file’s own time', (draft) => {
    const held = draft.views[view.id]
    if (!held) return
    const distribution = { kind: 'rectangular', half: clockHalf } as const
    const entry = { value: 0, distribution, basis: 'a camera’s quartz', unknown: false }
    setDrift(held, writeStated(draft, driftOf(view), entry, { name: 'clock of the camera', unit: '1' }))
    dropUnusedSources(draft)
  })
}

/** Cuts the clip into pieces. Where nothing was said about the rate yet, that of the first piece holds for the camera position too. */
export function takePieces(clip: Clip, view: View, pieces: readonly RatePiece[]): void {
  const rate_hz = pieces[0]?.rate_hz
  commit('take the pieces', (draft) => {
    const [heldClip, heldView] = [draft.clips[clip.id], draft.views[view.id]]
    if (!heldClip || !heldView || rate_hz === undefined) return
    setPieces(heldClip, pieces)
    if (heldView.timebase.kind !== 'unset') return
    const distribution = { kind: 'rectangular', half: clockHalf * rate_hz } as const
    const entry = {
      value: rate_hz,
      distribution,
      basis: 'the file’s timestamps where it plays in real time',
      unknown: false,
    }
    setRate(heldView, writeStated(draft, undefined, entry, { name: 'filming rate', unit: 'Hz' }))
  })
}
