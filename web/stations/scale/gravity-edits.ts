import type { Draft } from 'immer'
import type { GravityLine, Px, View } from '../../../workers/record/index.ts'
import { newId } from '../../record/new-id.ts'

/** The ends of a line that shows which way is down, and how well they are known where they settled on what is seen. */
export interface PlacedLine {
  readonly a: Px
  readonly b: Px
  readonly u_px?: number | undefined
}

/** A string or a level edge of a view. A level edge must lie in a plane; a string shows the way down at any depth. */
export function addGravityLine(
  view: Draft<View>,
  kind: 'plumb' | 'level',
  line: PlacedLine,
  planeId: string | null,
): string {
  const id = newId('down-')
  const made: Draft<GravityLine> = {
    id,
    kind,
    a: { ...line.a },
    b: { ...line.b },
    planeId: kind === 'level' ? planeId : null,
  }
  if (line.u_px !== undefined) made.u_px = line.u_px
  view.gravity.push(made)
  return id
}

/** Slopes that were read from this view's picture have nothing to be read against when the last line goes. */
export function removeGravityLine(view: Draft<View>, id: string): void {
  view.gravity = view.gravity.filter((line) => line.id !== id)
}

/** Puts a line anew; what was known of its old place says nothing of the new one. */
export function putGravityLine(view: Draft<View>, id: string, to: PlacedLine): void {
  const line = view.gravity.find((l) => l.id === id)
  if (!line) return
  line.a = { x: to.a.x, y: to.a.y }
  line.b = { x: to.b.x, y: to.b.y }
  if (to.u_px === undefined) delete line.u_px
  else line.u_px = to.u_px
}
