import type { KeyboardEvent } from 'react'
import type { Px } from '../../workers/record/index.ts'
import { hundredth, type PictureTool } from './overlay.ts'
import { aimAt, pictureStore, setSight, showWhole, takeLoupe } from './picture-store.ts'
import { panned, toPicture, zoomed } from './sight.ts'

const arrows: Record<string, Px> = {
  ArrowLeft: { x: -1, y: 0 },
  ArrowRight: { x: 1, y: 0 },
  ArrowUp: { x: 0, y: -1 },
  ArrowDown: { x: 0, y: 1 },
}

/** Step of an arrow key [px]: a tenth with Alt, ten with Shift. */
const stepOf = (event: { altKey: boolean; shiftKey: boolean }): number => (event.altKey ? 0.1 : event.shiftKey ? 10 : 1)

/** Puts the loupe into the hand of the keyboard: at the expected place, or in the middle of what is seen. */
export function takeUpLoupe(tool: PictureTool): void {
  const { sight, stage } = pictureStore.getState()
  const middle = toPicture(sight, { x: stage.width / 2, y: stage.height / 2 })
  takeLoupe(true)
  aimAt(tool.begin ?? middle, 'keys')
}

/** Keys while the picture has the focus. True when the key was used; what is left goes to the station and the page. */
export function stageKey(event: KeyboardEvent, tool: PictureTool): boolean {
  if (event.ctrlKey || event.metaKey) return false
  const handle = handleOf(event.target)
  if (handle !== null) return handleKey(event, tool, handle)
  const { aim, inHand, stage } = pictureStore.getState()
  const arrow = arrows[event.key]
  const middle = { x: stage.width / 2, y: stage.height / 2 }

  if (inHand && aim) {
    if (arrow) {
      const step = stepOf(event)
      aimAt(hundredth({ x: aim.x + arrow.x * step, y: aim.y + arrow.y * step }), 'keys')
      return true
    }
    if (event.key === 'Enter') {
      tool.place?.(hundredth(aim), { exact: event.altKey })
      return true
    }
    if (event.key === 'Escape') {
      takeLoupe(false)
      aimAt(null, 'keys')
      return true
    }
  }
  switch (event.key) {
    case 'l':
    case 'L':
      if (!tool.place || event.altKey) return false
      takeUpLoupe(tool)
      return true
    case 'Escape':
      if (!tool.onCancel) return false
      tool.onCancel()
      return true
    case '+':
    case '=':
      setSight((s, picture, size) => zoomed(s, 1.4, inView(aim) ?? middle, picture, size))
      return true
    case '-':
      setSight((s, picture, size) => zoomed(s, 1 / 1.4, inView(aim) ?? middle, picture, size))
      return true
    case '0':
      showWhole()
      return true
  }
  if (arrow && event.shiftKey && event.altKey) {
    setSight((s, picture, size) => panned(s, -arrow.x * 60, -arrow.y * 60, picture, size))
    return true
  }
  return false
}

function inView(aim: Px | null): Px | null {
  if (!aim) return null
  const { sight } = pictureStore.getState()
  return { x: sight.scale * aim.x + sight.x, y: sight.scale * aim.y + sight.y }
}

const handleOf = (target: EventTarget): string | null =>
  target instanceof Element ? (target.closest('[data-handle]')?.getAttribute('data-handle') ?? null) : null

function handleKey(event: KeyboardEvent, tool: PictureTool, id: string): boolean {
  const handle = tool.handles.find((h) => h.id === id)
  if (!handle) return false
  const arrow = arrows[event.key]
  if (arrow && tool.onDrop) {
    const step = stepOf(event)
    tool.onDrop(id, hundredth({ x: handle.at.x + arrow.x * step, y: handle.at.y + arrow.y * step }), { exact: true })
    return true
  }
  if ((event.key === 'Delete' || event.key === 'Backspace') && tool.onDelete) {
    tool.onDelete(id)
    return true
  }
  if (event.key === 'Enter' || event.key === ' ') {
    tool.onSelect?.(id)
    return true
  }
  return false
}
