import type { Draft } from 'immer'
import type { Clip, Plane, Px, SlowlaneRecord, View } from '../../../workers/record/index.ts'
import { commit, recordStore } from '../../record/store.ts'
import { addGravityLine, putGravityLine, type PlacedLine } from './gravity-edits.ts'
import { addEdge, moveEdgePoint } from './lens-edits.ts'
import { movePlanePoint, planePoints, putPlanePoints } from './plane-edits.ts'
import type { Placing } from './placing.ts'
import { readCorners, readEdge, readLine, settledCorners, thousandths, type Look } from './reading.ts'
import {
  cornersSentence,
  edgeReadSentence,
  lineNotReadSentence,
  lineReadSentence,
  noLookSentence,
} from './sentences.ts'
import { sentenceForString } from '../../../workers/measure/note-sentences.ts'
import { leastSettled_px } from '../../../workers/measure/settle-corner.ts'
import { moveTick } from './tape-edits.ts'

/** What became of looking at the picture, as a sentence beside what it was about. */
export interface Said {
  readonly about: string
  readonly text: string
}

/** A line between two placed points, settled on what is seen unless it is meant exactly. */
async function settledLine(
  look: Look,
  kind: 'plumb' | 'level',
  a: Px,
  b: Px,
  exact: boolean,
): Promise<{ readonly line: PlacedLine; readonly says: string }> {
  if (exact) return { line: { a, b }, says: 'It stays exactly as placed.' }
  const reading = await readLine(look, a, b, kind === 'plumb' ? 'string' : 'edge')
  if (reading.kind === 'no-look') return { line: { a, b }, says: noLookSentence(reading) }
  if (reading.kind !== 'string') return { line: { a, b }, says: lineNotReadSentence(reading) }
  const u_px = Math.max(leastSettled_px, reading.u_px)
  return {
    line: { a: thousandths(reading.a), b: thousandths(reading.b), u_px },
    says: lineReadSentence(reading, kind === 'plumb' ? 'string' : 'edge'),
  }
}

/** Enters a string or level edge: one gesture, one entry, after it has settled. */
export async function enterGravity(look: Look, viewId: string, placing: Placing): Promise<Said> {
  const [a, b] = placing.points
  const kind = placing.what === 'plumb' ? 'plumb' : 'level'
  if (!a || !b) throw new Error(`a line has two ends, not ${placing.points.length}`)
  const { line, says } = await settledLine(look, kind, a, b, placing.exact ?? false)
  commit(kind === 'plumb' ? 'mark a string' : 'mark a level edge', (draft) => {
    const held = draft.views[viewId]
    if (held) addGravityLine(held, kind, line, placing.planeId)
  })
  return { about: 'gravity', text: says }
}

/** Enters a straight edge, followed in sub-pixels where it is seen. */
export async function enterEdge(look: Look, viewId: string, placing: Placing): Promise<Said> {
  const reading = placing.exact ? null : await readEdge(look, placing.points)
  const points = reading?.kind === 'bent-edge' ? reading.points.map(thousandths) : placing.points
  commit('mark a straight edge', (draft) => addEdge(draft, viewId, points))
  const text =
    reading === null
      ? 'The edge stays exactly as placed.'
      : reading.kind === 'bent-edge'
        ? edgeReadSentence(reading.points.length, reading.of, reading.u_px)
        : reading.kind === 'no-look'
          ? noLookSentence(reading)
          : `${sentenceForString(reading)} The edge stays as placed.`
  return { about: 'lens', text }
}

/** Corners or lone points that were just placed, on what is seen. */
export async function settlePlaced(look: Look, placing: Placing): Promise<Placing> {
  const reading = await readCorners(look, placing.points, placing.what === 'rectangle')
  if (reading.kind === 'no-look') return { ...placing, says: noLookSentence(reading) }
  const { points, settled, worst_px, u_px } = settledCorners(placing.points, reading.corners)
  const says = cornersSentence(settled, points.length, worst_px)
  return { ...placing, points, says, ...(u_px === undefined ? {} : { u_px }) }
}

/** Settles the points of a plane that is in the record. */
export async function settlePlane(look: Look, viewId: string, plane: Plane): Promise<Said> {
  const about = `plane ${plane.id}`
  const placed = planePoints(plane).map(({ at }) => at)
  const reading = await readCorners(look, placed, plane.kind === 'rectangle')
  if (reading.kind === 'no-look') return { about, text: noLookSentence(reading) }
  const { points, settled, worst_px, u_px } = settledCorners(placed, reading.corners)
  if (settled > 0)
    commit('settle the points of the plane', (draft) => {
      const held = draft.views[viewId]?.planes[plane.id]
      if (held) putPlanePoints(held, points, u_px)
    })
  return { about, text: cornersSentence(settled, points.length, worst_px) }
}

/** A point that was dragged or moved by keys: it settles anew on what is seen unless it is meant exactly. One entry of undo. */
export async function dropPoint(
  look: Look | null,
  view: View,
  handle: string,
  to: Px,
  exact: boolean,
): Promise<Said | null> {
  const [kind, id = '', index = ''] = handle.split(' ')
  const i = Number(index)
  switch (kind) {
    case 'gravity':
      return dropGravity(look, view, id, i, to, exact)
    case 'plane':
      return dropCorner(look, view, id, i, to, exact)
    case 'edge':
      change(view.id, 'move a point of a straight edge', (held) => moveEdgePoint(held, Number(id), i, to))
      return null
    case 'tick':
      change(view.id, 'move a tick', (held) => {
        const line = held.lines[id]
        if (line) moveTick(line, i, to)
      })
      return null
    default:
      return null
  }
}

const change = (viewId: string, name: string, recipe: (view: Draft<View>) => void) =>
  commit(name, (draft: Draft<SlowlaneRecord>) => {
    const held = draft.views[viewId]
    if (held) recipe(held)
  })

async function dropGravity(
  look: Look | null,
  view: View,
  id: string,
  end: number,
  to: Px,
  exact: boolean,
): Promise<Said | null> {
  const line = view.gravity.find((one) => one.id === id)
  if (!line) return null
  const [a, b] = end === 0 ? [to, line.b] : [line.a, to]
  const settled = look ? await settledLine(look, line.kind, a, b, exact) : { line: { a, b }, says: '' }
  change(view.id, 'move a point of the plumb line', (held) => putGravityLine(held, id, settled.line))
  return settled.says === '' ? null : { about: 'gravity', text: settled.says }
}

async function dropCorner(
  look: Look | null,
  view: View,
  id: string,
  i: number,
  to: Px,
  exact: boolean,
): Promise<Said | null> {
  const plane = view.planes[id]
  if (!plane) return null
  const corners = planePoints(plane).map(({ at }, k) => (k === i ? to : at))
  const reading =
    look && !exact && plane.kind !== 'bars' ? await readCorners(look, corners, plane.kind === 'rectangle') : null
  const own = reading?.kind === 'corners' ? reading.corners[i] : undefined
  change(view.id, 'move a point of the scale', (held) => {
    const draft = held.planes[id]
    if (!draft) return
    if (own?.kind === 'corner') {
      movePlanePoint(draft, i, thousandths(own.at))
      if (draft.u_px !== undefined) draft.u_px = Math.max(draft.u_px, own.u_px)
    } else {
      movePlanePoint(draft, i, to)
      // One of its points is known only as a hand places it.
      delete draft.u_px
    }
  })
  if (!reading || plane.kind === 'bars') return null
  const text =
    reading.kind === 'no-look'
      ? noLookSentence(reading)
      : own?.kind === 'corner'
        ? 'The point settled on what is seen there.'
        : 'Nothing clear is seen there: the point stays as placed.'
  return { about: `plane ${id}`, text }
}

/** The frame on show, while its clip can be looked at. */
export const lookAt = (clip: Clip, frame: number): Look => ({
  clip: recordStore.getState().record.clips[clip.id] ?? clip,
  frame,
})
