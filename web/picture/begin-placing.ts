import type { Px } from '../../workers/record/index.ts'
import { aimAt, pictureStore, takeLoupe } from './picture-store.ts'
import { toPicture } from './sight.ts'

/**
 * Turns from a button to the picture: the picture takes the focus, and when the button was pressed with a key the loupe is in hand at once,
 * at the expected place or in the middle of what is seen.
 */
export function beginPlacing(event: { readonly detail: number }, begin?: Px): void {
  document.querySelector<HTMLElement>('.stage')?.focus({ preventScroll: true })
  // A click made by a key has no count of presses.
  if (event.detail !== 0) return
  const { sight, stage } = pictureStore.getState()
  takeLoupe(true)
  aimAt(begin ?? toPicture(sight, { x: stage.width / 2, y: stage.height / 2 }), 'keys')
}
