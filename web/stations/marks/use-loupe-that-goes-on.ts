import { useEffect, useRef } from 'react'
import type { Px } from '../../../workers/record/index.ts'
import { aimAt, pictureStore } from '../../picture/picture-store.ts'

/** In the hand of the keyboard the loupe goes on with the ball: each frame that comes up begins at its mark or at the place expected there. */
export function useLoupeThatGoesOn(frame: number, onShow: boolean, begin: Px | undefined): void {
  const goneTo = useRef(frame)
  useEffect(() => {
    if (!onShow || goneTo.current === frame) return
    goneTo.current = frame
    if (begin && pictureStore.getState().inHand) aimAt(begin, 'keys')
  }, [frame, onShow, begin])
}
