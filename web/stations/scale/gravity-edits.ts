import type { Draft } from 'immer'
import type { Px, View } from '../../../workers/record/index.ts'
import { newId } from '../../record/new-id.ts'

/** A string or a level edge of a view. A level edge must lie in a plane; a string shows the way down at any depth. */
export function addGravityLine(
  view: Draft<View>,
  kind: 'plumb' | 'level',
  a: Px,
  b: Px,
  planeId: string | null,
): string {
  const id = newId('down-')
  view.gravity.push({ id, kind, a: { ...a }, b: { ...b }, planeId: kind === 'level' ? planeId : null })
  return id
}

/** Slopes that were read from this view's picture have nothing to be read against when the last line goes. */
export function removeGravityLine(view: Draft<View>, id: string): void {
  view.gravity = view.gravity.filter((line) => line.id !== id)
}

export function moveGravityPoint(view: Draft<View>, id: string, point: number, to: Px): void {
  const line = view.gravity.find((l) => l.id === id)
  if (line) line[point === 0 ? 'a' : 'b'] = { x: to.x, y: to.y }
}
