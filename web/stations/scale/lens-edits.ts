import type { Draft } from 'immer'
import type { Px, SlowlaneRecord, View } from '../../../workers/record/index.ts'
import { dropUnusedSources, writeStated, type StatedEntry } from '../stated/stated-edits.ts'

/** Another straight edge; a typed curvature gives way to it. */
export function addEdge(draft: Draft<SlowlaneRecord>, viewId: string, points: readonly Px[]): void {
  const view = draft.views[viewId]
  if (!view) return
  const edge = points.map(({ x, y }) => ({ x, y }))
  if (view.lens?.kind === 'edges') view.lens.edges.push(edge)
  else view.lens = { kind: 'edges', edges: [edge] }
  dropUnusedSources(draft)
}

export function removeEdge(view: Draft<View>, index: number): void {
  if (view.lens?.kind !== 'edges') return
  view.lens.edges.splice(index, 1)
  if (view.lens.edges.length === 0) delete view.lens
}

export function moveEdgePoint(view: Draft<View>, edge: number, point: number, to: Px): void {
  const points = view.lens?.kind === 'edges' ? view.lens.edges[edge] : undefined
  if (points?.[point]) points[point] = { x: to.x, y: to.y }
}

/** A curvature known from elsewhere; edges give way to it. */
export function typeCurvature(draft: Draft<SlowlaneRecord>, viewId: string, entry: StatedEntry): void {
  const view = draft.views[viewId]
  if (!view) return
  const before = view.lens?.kind === 'typed' ? view.lens.k1 : undefined
  view.lens = { kind: 'typed', k1: writeStated(draft, before, entry, { name: 'lens curvature', unit: '1' }) }
}

export function forgetLens(draft: Draft<SlowlaneRecord>, viewId: string): void {
  const view = draft.views[viewId]
  if (!view) return
  delete view.lens
  dropUnusedSources(draft)
}

/** Edges with more points were read by the tool; these few were placed by hand and can be dragged. */
export const fewestRead = 8
