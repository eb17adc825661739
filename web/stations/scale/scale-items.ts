import { edgeItems, residualItems, tapeItems } from '../../picture/calibration-overlay.ts'
import type { OverlayItem, PictureHandle } from '../../picture/overlay.ts'
import { shownAt, type PictureState } from '../../picture/picture-store.ts'
import { planeTickItems } from '../../picture/plane-ticks.ts'
import { lineItems, planeItems } from '../../picture/view-overlay.ts'
import type { SlowlaneRecord, View } from '../../../workers/record/index.ts'
import { fewestRead } from './lens-edits.ts'
import { planePoints } from './plane-edits.ts'
import { isPlaced, placedName, type Placing } from './placing.ts'

/** Everything this station draws over the footage. Ticks and arrows stay away while a point is on its way: they would lag behind it. */
export function scaleItems(
  record: SlowlaneRecord,
  view: View,
  placing: Placing | null,
  drag: PictureState['drag'],
  zoom: number,
): OverlayItem[] {
  const planes = Object.values(view.planes)
  const at = (handle: string) => (i: number, point: { x: number; y: number }) => shownAt(drag, `${handle} ${i}`, point)
  const ticks = drag ? [] : planes.flatMap((plane) => planeTickItems(record, view.id, plane.id, zoom))
  const arrows = drag ? [] : planes.flatMap((plane) => residualItems(record, view.id, plane.id, zoom).items)
  const strings = view.gravity.map((line): OverlayItem => ({
    kind: 'line',
    id: line.id,
    points: [line.a, line.b].map((p, i) => at(`gravity ${line.id}`)(i, p)),
    stroke: { colour: 'var(--caution)', dash: line.kind === 'plumb' ? undefined : '6 3' },
  }))
  return [
    ...lineItems(record, view),
    ...ticks,
    ...planes.flatMap((plane) => planeItems(plane, at(`plane ${plane.id}`))),
    ...arrows,
    ...edgeItems(record, view, (edge) => at(`edge ${edge}`)),
    ...tapeItems(record, view, zoom, (laneId) => at(`tick ${laneId}`)),
    ...strings,
    ...pendingItems(placing, drag),
  ]
}

function pendingItems(placing: Placing | null, drag: PictureState['drag']): OverlayItem[] {
  const points = (placing?.points ?? []).map((point, i) => shownAt(drag, `placing ${i}`, point))
  const [a, b] = points
  if (!placing || !a || !b) return []
  switch (placing.what) {
    case 'rectangle':
      return [{ kind: 'outline', id: 'placing', corners: points, labels: [] }]
    case 'edge':
    case 'ticks':
      return [{ kind: 'line', id: 'placing', points, stroke: { colour: 'var(--accent)', dash: '3 3' } }]
    case 'points':
    case 'still':
      return []
    default:
      return [{ kind: 'bar', id: 'placing', a, b, label: '' }]
  }
}

/** The points that can be taken. While something is placed, only it can be: a press near an old point must not move that. */
export function scaleHandles(view: View, placing: Placing | null, selected: string | null): PictureHandle[] {
  const handle = (id: string, at: PictureHandle['at'], label: string, colour = 'var(--accent)'): PictureHandle => ({
    id,
    at,
    label,
    colour,
    selected: selected === id,
  })
  const pending = (placing?.points ?? []).map((at, i) =>
    handle(`placing ${i}`, at, placing ? placedName(placing, i) : ''),
  )
  if (placing && !isPlaced(placing)) return pending
  const planes = Object.values(view.planes).flatMap((plane) =>
    planePoints(plane).map(({ name, at }, i) => handle(`plane ${plane.id} ${i}`, at, `${plane.name}: ${name}`)),
  )
  const strings = view.gravity.flatMap((line) =>
    [line.a, line.b].map((at, i) => {
      const name = `${line.kind === 'plumb' ? 'string' : 'level edge'}, ${i === 0 ? 'first' : 'second'} point`
      return handle(`gravity ${line.id} ${i}`, at, name, 'var(--caution)')
    }),
  )
  const edges = (view.lens?.kind === 'edges' ? view.lens.edges : []).flatMap((edge, k) =>
    edge.length >= fewestRead
      ? []
      : edge.map((at, i) => handle(`edge ${k} ${i}`, at, `straight edge ${k + 1}, point ${i + 1}`)),
  )
  const ticks = Object.values(view.lines).flatMap((line) =>
    (line.ticks ?? []).map((tick, i) =>
      handle(`tick ${line.laneId} ${i}`, tick.at, `tape, tick ${i + 1} at ${Number((1000 * tick.s_m).toFixed(1))} mm`),
    ),
  )
  return [...planes, ...strings, ...edges, ...ticks, ...pending]
}
