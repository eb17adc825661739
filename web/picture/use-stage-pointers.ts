import { useEffect, useRef, type RefObject } from 'react'
import { assertNever, type Px } from '../../workers/record/index.ts'
import { atRest, gestureStep, type Effect, type Gesture, type PointerNews } from './gesture.ts'
import { handleAt, reach } from './hit.ts'
import type { Pointing } from './loupe-place.ts'
import { hundredth, type PictureTool } from './overlay.ts'
import { aimAt, clamp, pictureStore, setDrag, setSight, setSweep, takeLoupe } from './picture-store.ts'
import { isFitted, panned, toPicture, zoomed } from './sight.ts'

/** One notch of a mouse wheel makes the picture about a fifth larger. */
const perWheelPx = 1 / 600

/** A box smaller than this each way together [CSS px] was meant as a press. */
const leastBox = 8

/** Wires mouse, pen, touch and wheel of the stage to the tool of the moment. */
export function useStagePointers(stage: RefObject<HTMLElement | null>, tool: PictureTool): void {
  const current = useRef(tool)
  useEffect(() => {
    current.current = tool
  }, [tool])

  useEffect(() => {
    const element = stage.current
    if (!element) return
    let gesture: Gesture = atRest
    let alt = false
    /** Where the pointer that places went down. */
    let pressed: Px | null = null
    const at = (event: { clientX: number; clientY: number }): Px => {
      const box = element.getBoundingClientRect()
      return { x: event.clientX - box.left, y: event.clientY - box.top }
    }
    const pointingOf = (event: PointerEvent): Pointing =>
      event.pointerType === 'touch' ? 'touch' : event.pointerType === 'pen' ? 'pen' : 'mouse'

    const act = (effect: Effect, pointing: Pointing): void => {
      const { sight } = pictureStore.getState()
      const now = current.current
      switch (effect.kind) {
        case 'aim':
          takeLoupe(false)
          if (now.sweep && pressed)
            setSweep({ from: inside(toPicture(sight, pressed)), to: inside(toPicture(sight, effect.at)) })
          return aimAt(toPicture(sight, effect.at), pointing)
        case 'place': {
          const place = hundredth(toPicture(sight, effect.at))
          setSweep(null)
          if (pointing !== 'mouse') aimAt(null, pointing)
          if (now.sweep && pressed && Math.abs(effect.at.x - pressed.x) + Math.abs(effect.at.y - pressed.y) > leastBox)
            return now.sweep(hundredth(inside(toPicture(sight, pressed))), inside(place))
          if (inPicture(place)) now.place?.(place, { exact: alt })
          return
        }
        case 'drag':
          return setDrag({ handle: effect.handle, to: hundredth(toPicture(sight, effect.to)) })
        case 'drop': {
          setDrag(null)
          now.onDrop?.(effect.handle, hundredth(toPicture(sight, effect.to)), { exact: alt })
          return
        }
        case 'select':
          now.onSelect?.(effect.handle)
          element.querySelector<SVGElement>(`[data-handle="${CSS.escape(effect.handle)}"]`)?.focus()
          return
        case 'tap':
          return
        case 'pan':
          return setSight((s, picture, size) => panned(s, effect.dx, effect.dy, picture, size))
        case 'pinch':
          return setSight((s, picture, size) =>
            panned(zoomed(s, effect.factor, effect.about, picture, size), effect.dx, effect.dy, picture, size),
          )
        case 'discard':
          setDrag(null)
          setSweep(null)
          return aimAt(null, pointing)
        default:
          return assertNever(effect)
      }
    }
    const tell = (news: PointerNews, pointing: Pointing): void => {
      const step = gestureStep(gesture, news)
      gesture = step.next
      for (const effect of step.effects) act(effect, pointing)
    }

    const onDown = (event: PointerEvent): void => {
      if (event.button === 2) return
      const on = at(event)
      const { sight } = pictureStore.getState()
      pressed = on
      const hit = handleAt(current.current.handles, sight, on, reach[event.pointerType] ?? 12)
      const places = current.current.place !== undefined
      alt = event.altKey
      const pointing = pointingOf(event)
      // A finger that would only pan a picture already whole is left to the page, which may want to scroll.
      element.setPointerCapture(event.pointerId)
      if (!hit) element.focus({ preventScroll: true })
      event.preventDefault()
      tell(
        {
          kind: 'down',
          pointer: event.pointerId,
          at: on,
          touch: pointing === 'touch',
          pans: event.button === 1 || event.shiftKey,
          hit: hit && !(places && event.altKey) ? { handle: hit.id, at: onStage(hit.at) } : null,
          places,
        },
        pointing,
      )
    }
    const onStage = (p: Px): Px => {
      const { sight } = pictureStore.getState()
      return { x: sight.scale * p.x + sight.x, y: sight.scale * p.y + sight.y }
    }
    const inPicture = (p: Px): boolean => {
      const { picture } = pictureStore.getState()
      return picture !== null && p.x >= 0 && p.y >= 0 && p.x <= picture.width && p.y <= picture.height
    }
    const inside = (p: Px): Px => {
      const { picture } = pictureStore.getState()
      return picture ? { x: clamp(p.x, 0, picture.width), y: clamp(p.y, 0, picture.height) } : p
    }
    const onMove = (event: PointerEvent): void => {
      const on = at(event)
      if (gesture.kind !== 'rest') return tell({ kind: 'move', pointer: event.pointerId, at: on }, pointingOf(event))
      // A mouse shows through the loupe before it presses; a finger cannot.
      if (event.pointerType === 'touch' || !current.current.place) return
      const point = toPicture(pictureStore.getState().sight, on)
      takeLoupe(false)
      aimAt(inPicture(point) ? point : null, pointingOf(event))
    }
    const onUp = (event: PointerEvent): void => {
      alt = alt || event.altKey
      tell({ kind: 'up', pointer: event.pointerId, at: at(event) }, pointingOf(event))
    }
    const onCancel = (event: PointerEvent): void =>
      tell({ kind: 'cancel', pointer: event.pointerId }, pointingOf(event))
    const onLeave = (event: PointerEvent): void => {
      if (gesture.kind === 'rest' && !pictureStore.getState().inHand) aimAt(null, pointingOf(event))
    }
    const onWheel = (event: WheelEvent): void => {
      const { picture, stage: size, sight } = pictureStore.getState()
      if (!picture) return
      const lines = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? 16 : 1
      const sideways = Math.abs(event.deltaX) > Math.abs(event.deltaY)
      if (!event.ctrlKey && (sideways || event.shiftKey)) {
        if (isFitted(sight, picture, size)) return
        event.preventDefault()
        const dx = sideways ? event.deltaX : event.deltaY
        return setSight((s, p, z) => panned(s, -dx * lines, sideways ? -event.deltaY * lines : 0, p, z))
      }
      const outward = event.deltaY > 0
      if (outward && isFitted(sight, picture, size) && !event.ctrlKey) return
      event.preventDefault()
      // A pinch on a touch pad arrives as a wheel with Ctrl and much smaller steps.
      const factor = Math.exp(-event.deltaY * lines * perWheelPx * (event.ctrlKey ? 5 : 1))
      setSight((s, p, z) => zoomed(s, factor, at(event), p, z))
    }

    element.addEventListener('pointerdown', onDown)
    element.addEventListener('pointermove', onMove)
    element.addEventListener('pointerup', onUp)
    element.addEventListener('pointercancel', onCancel)
    element.addEventListener('pointerleave', onLeave)
    element.addEventListener('wheel', onWheel, { passive: false })
    return () => {
      element.removeEventListener('pointerdown', onDown)
      element.removeEventListener('pointermove', onMove)
      element.removeEventListener('pointerup', onUp)
      element.removeEventListener('pointercancel', onCancel)
      element.removeEventListener('pointerleave', onLeave)
      element.removeEventListener('wheel', onWheel)
      setDrag(null)
      setSweep(null)
      aimAt(null, 'mouse')
    }
  }, [stage])
}
