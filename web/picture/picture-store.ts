import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { Px } from '../../workers/record/index.ts'
import type { Pointing } from './loupe-place.ts'
import { fitted, held, showing, type Sight, type Size } from './sight.ts'

/** How the one shared picture is looked at; apart from the record and kept while stations change. */
export interface PictureState {
  /** Displayed picture of the current clip [px]; null while none is open. */
  readonly picture: Size | null
  readonly stage: Size
  readonly sight: Sight
  /** The whole picture stays in view when the stage changes size, until somebody zooms. */
  readonly fit: boolean
  /** Where the loupe looks [picture px]; null when it is put away. */
  readonly aim: Px | null
  readonly pointing: Pointing
  /** The loupe was taken up with a key: arrows move it, Enter places. */
  readonly inHand: boolean
  /** A handle on its way: shown, not yet in the record. */
  readonly drag: { readonly handle: string; readonly to: Px } | null
  /** A box that is being drawn with the pointer down. */
  readonly sweep: { readonly from: Px; readonly to: Px } | null
}

export const pictureStore = createStore<PictureState>(() => ({
  picture: null,
  stage: { width: 0, height: 0 },
  sight: { scale: 1, x: 0, y: 0 },
  fit: true,
  aim: null,
  pointing: 'mouse',
  inHand: false,
  drag: null,
  sweep: null,
}))

export function usePicture<T>(select: (state: PictureState) => T): T {
  return useStore(pictureStore, select)
}

export function setStage(stage: Size): void {
  pictureStore.setState((s) => {
    if (!s.picture) return { stage }
    return { stage, sight: s.fit ? fitted(s.picture, stage) : held(s.sight, s.picture, stage) }
  })
}

/** Another clip, or the same one turned: a picture of another size is shown whole. */
export function setPicture(picture: Size | null): void {
  pictureStore.setState((s) => {
    if (picture && s.picture && s.picture.width === picture.width && s.picture.height === picture.height) return {}
    return { picture, fit: true, sight: picture ? fitted(picture, s.stage) : s.sight, aim: null, drag: null }
  })
}

export function setSight(change: (sight: Sight, picture: Size, stage: Size) => Sight): void {
  pictureStore.setState((s) => {
    if (!s.picture) return {}
    const sight = change(s.sight, s.picture, s.stage)
    const whole = fitted(s.picture, s.stage)
    return { sight, fit: sight.scale <= whole.scale * (1 + 1e-9) }
  })
}

export const showWhole = (): void => setSight((_, picture, stage) => fitted(picture, stage))

/** Puts the loupe on a picture point, kept inside the picture; the stage follows so that the point is in view. */
export function aimAt(at: Px | null, pointing: Pointing): void {
  pictureStore.setState((s) => {
    if (!at || !s.picture) return { aim: null, pointing }
    const aim = { x: clamp(at.x, 0, s.picture.width), y: clamp(at.y, 0, s.picture.height) }
    const sight = pointing === 'keys' ? showing(s.sight, aim, s.picture, s.stage) : s.sight
    return { aim, pointing, sight }
  })
}

export const takeLoupe = (inHand: boolean): void => pictureStore.setState({ inHand })
export const setDrag = (drag: PictureState['drag']): void => pictureStore.setState({ drag })
export const setSweep = (sweep: PictureState['sweep']): void => pictureStore.setState({ sweep })

export const clamp = (value: number, least: number, greatest: number): number =>
  Math.min(Math.max(value, least), greatest)

/** Where a handle is shown: on its way while it is dragged, else where the record has it. */
export const shownAt = (drag: PictureState['drag'], handle: string, recorded: Px): Px =>
  drag?.handle === handle ? drag.to : recorded
