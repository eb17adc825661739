import type { Draft } from 'immer'
import type { Plane, Px, ScaleBar, SlowlaneRecord, View } from '../../../workers/record/index.ts'
import { newId } from '../../record/new-id.ts'
import { dropUnusedSources, writeStated, type StatedEntry } from '../stated/stated-edits.ts'

const planeName = (view: View): string => {
  const count = Object.keys(view.planes).length
  return count === 0 ? 'the lanes' : `plane ${count + 1}`
}

/** A new plane with one bar between two placed points, of the length the person states. */
export function addBarPlane(draft: Draft<SlowlaneRecord>, viewId: string, a: Px, b: Px, length: StatedEntry): string {
  const view = draft.views[viewId]!
  const id = newId('plane-')
  view.planes[id] = { kind: 'bars', id, name: planeName(view), bars: [newBar(draft, a, b, length)] }
  return id
}

/** A further bar in a plane that is scaled by bars. */
export function addBar(
  draft: Draft<SlowlaneRecord>,
  viewId: string,
  planeId: string,
  a: Px,
  b: Px,
  length: StatedEntry,
): void {
  const plane = draft.views[viewId]?.planes[planeId]
  if (plane?.kind === 'bars') plane.bars.push(newBar(draft, a, b, length))
}

function newBar(draft: Draft<SlowlaneRecord>, a: Px, b: Px, length: StatedEntry): Draft<ScaleBar> {
  const length_m = writeStated(draft, undefined, length, { name: 'length of the scale bar', unit: 'm' })
  return { id: newId('bar-'), a: { ...a }, b: { ...b }, length_m }
}

/** A new plane from four corners, taken in turn from the one at the top left, so that the first side is the width. */
export function addRectanglePlane(
  draft: Draft<SlowlaneRecord>,
  viewId: string,
  corners: readonly Px[],
  width: StatedEntry,
  height: StatedEntry,
  u_px?: number,
): string {
  const view = draft.views[viewId]!
  const id = newId('plane-')
  const width_m = writeStated(draft, undefined, width, { name: 'width of the rectangle', unit: 'm' })
  const height_m = writeStated(draft, undefined, height, { name: 'height of the rectangle', unit: 'm' })
  view.planes[id] = { kind: 'rectangle', id, name: planeName(view), corners: inTurn(corners), width_m, height_m }
  if (u_px !== undefined) view.planes[id].u_px = u_px
  return id
}

/** A point of known position as placed and typed. */
export interface KnownPoint {
  readonly at: Px
  readonly x_m: number
  readonly y_m: number
}

/** A new plane from four or more points whose places on it were measured. */
export function addPointsPlane(
  draft: Draft<SlowlaneRecord>,
  viewId: string,
  points: readonly KnownPoint[],
  position: StatedEntry,
  u_px?: number,
): string {
  const view = draft.views[viewId]!
  const id = newId('plane-')
  view.planes[id] = {
    kind: 'points',
    id,
    name: planeName(view),
    points: points.map(({ at, x_m, y_m }) => ({ at: { ...at }, x_m, y_m })),
    position_m: writeStated(
      draft,
      undefined,
      { ...position, value: 0 },
      { name: 'place of each known point', unit: 'm' },
    ),
  }
  if (u_px !== undefined) view.planes[id].u_px = u_px
  return id
}

export function removeKnownPoint(plane: Draft<Plane>, index: number): void {
  if (plane.kind === 'points') plane.points.splice(index, 1)
}

/** Puts all corners or known points of a plane anew; `u_px` where all of them settled on what is seen. */
export function putPlanePoints(plane: Draft<Plane>, points: readonly Px[], u_px: number | undefined): void {
  for (const [i, at] of points.entries()) movePlanePoint(plane, i, at)
  if (u_px === undefined) delete plane.u_px
  else plane.u_px = u_px
}

/** Four corners placed in any order, as a turn around their middle, beginning at the top left. Throws unless there are four. */
export function inTurn(corners: readonly Px[]): [Px, Px, Px, Px] {
  const [p, q, r, s] = corners
  if (!p || !q || !r || !s || corners.length !== 4)
    throw new Error(`a rectangle has four corners, not ${corners.length}`)
  const middle = { x: (p.x + q.x + r.x + s.x) / 4, y: (p.y + q.y + r.y + s.y) / 4 }
  const angle = (c: Px) => Math.atan2(c.y - middle.y, c.x - middle.x)
  const turned = [p, q, r, s].sort((a, b) => angle(a) - angle(b))
  const topLeft = turned.reduce((best, c, i) => (c.x + c.y < turned[best]!.x + turned[best]!.y ? i : best), 0)
  const at = (i: number): Px => ({ x: turned[(topLeft + i) % 4]!.x, y: turned[(topLeft + i) % 4]!.y })
  return [at(0), at(1), at(2), at(3)]
}

/** Takes a plane away; lane lines and level edges that lay in it are without a plane then. */
export function removePlane(draft: Draft<SlowlaneRecord>, viewId: string, planeId: string): void {
  const view = draft.views[viewId]
  if (!view) return
  delete view.planes[planeId]
  for (const line of Object.values(view.lines)) if (line.planeId === planeId) line.planeId = null
  for (const edge of view.gravity) if (edge.planeId === planeId) edge.planeId = null
  dropUnusedSources(draft)
}

export function removeBar(draft: Draft<SlowlaneRecord>, viewId: string, planeId: string, barId: string): void {
  const plane = draft.views[viewId]?.planes[planeId]
  if (plane?.kind !== 'bars') return
  if (plane.bars.length === 1) return removePlane(draft, viewId, planeId)
  plane.bars = plane.bars.filter((bar) => bar.id !== barId)
  dropUnusedSources(draft)
}

/** The points of a plane that can be moved, each with the name of its place. */
export function planePoints(plane: Plane): { readonly name: string; readonly at: Px }[] {
  switch (plane.kind) {
    case 'bars':
      return plane.bars.flatMap((bar, i) => {
        const which = plane.bars.length > 1 ? `scale bar ${i + 1}` : 'scale bar'
        return [
          { name: `${which}, first end`, at: bar.a },
          { name: `${which}, second end`, at: bar.b },
        ]
      })
    case 'rectangle':
      return plane.corners.map((at, i) => ({ name: `rectangle, corner ${i + 1}`, at }))
    case 'points':
      return plane.points.map((point, i) => ({ name: `known point ${i + 1}`, at: point.at }))
  }
}

/** Moves the point of that number, counted as in `planePoints`. */
export function movePlanePoint(plane: Draft<Plane>, index: number, to: Px): void {
  switch (plane.kind) {
    case 'bars': {
      const bar = plane.bars[Math.floor(index / 2)]
      if (bar) bar[index % 2 === 0 ? 'a' : 'b'] = { x: to.x, y: to.y }
      return
    }
    case 'rectangle':
      if (plane.corners[index]) plane.corners[index] = { x: to.x, y: to.y }
      return
    case 'points':
      if (plane.points[index]) plane.points[index].at = { x: to.x, y: to.y }
      return
  }
}

/** A thing of known length that checks the plane. Among bars it is one more bar; a rectangle keeps it beside its corners. */
export function addCheck(
  draft: Draft<SlowlaneRecord>,
  viewId: string,
  planeId: string,
  a: Px,
  b: Px,
  length: StatedEntry,
): void {
  const plane = draft.views[viewId]?.planes[planeId]
  if (!plane) return
  const bar = newBar(draft, a, b, length)
  if (plane.kind === 'bars') plane.bars.push(bar)
  else plane.checks = [...(plane.checks ?? []), bar]
}

export function removeCheck(draft: Draft<SlowlaneRecord>, viewId: string, planeId: string, barId: string): void {
  const plane = draft.views[viewId]?.planes[planeId]
  if (!plane || plane.kind === 'bars' || !plane.checks) return
  plane.checks = plane.checks.filter((bar) => bar.id !== barId)
  if (plane.checks.length === 0) delete plane.checks
  dropUnusedSources(draft)
}
