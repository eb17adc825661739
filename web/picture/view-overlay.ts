import { showPlain } from '../format/value.ts'
import type { Plane, Px, SlowlaneRecord, View } from '../../workers/record/index.ts'
import { laneStroke } from './lane-stroke.ts'
import type { OverlayItem } from './overlay.ts'

/** What a view holds, quietly over the footage: planes and lane lines, for stations that only look at them. */
export function viewOverlay(record: SlowlaneRecord, viewId: string): OverlayItem[] {
  const view = record.views[viewId]
  if (!view) return []
  return [...Object.values(view.planes).flatMap((plane) => planeItems(plane)), ...lineItems(record, view)]
}

/** Moves points that are on their way: `at(number of the point, where the record has it)`. */
export type Shown = (point: number, at: Px) => Px
const asRecorded: Shown = (_, at) => at

export function planeItems(plane: Plane, shown: Shown = asRecorded): OverlayItem[] {
  const length = (stated: { value: number }) => `${showPlain(1000 * stated.value, 5)} mm`
  switch (plane.kind) {
    case 'bars':
      return plane.bars.map((bar, i) => ({
        kind: 'bar',
        id: bar.id,
        a: shown(2 * i, bar.a),
        b: shown(2 * i + 1, bar.b),
        label: length(bar.length_m),
      }))
    case 'rectangle':
      return [
        {
          kind: 'outline',
          id: plane.id,
          corners: plane.corners.map((corner, i) => shown(i, corner)),
          labels: [length(plane.width_m), length(plane.height_m), '', ''],
        },
      ]
    case 'points':
      return [
        {
          kind: 'crosses',
          id: plane.id,
          points: plane.points.map((point, i) => shown(i, point.at)),
          colour: 'var(--accent)',
          found: false,
        },
      ]
  }
}

export function lineItems(
  record: SlowlaneRecord,
  view: View,
  chosen?: string,
  shown: Shown = asRecorded,
): OverlayItem[] {
  return Object.values(view.lines).map((line) => ({
    kind: 'line',
    id: line.laneId,
    points: line.laneId === chosen ? line.points.map((p, i) => shown(i, p)) : line.points,
    stroke: laneStroke(record, line.laneId),
    letter: record.lanes[line.laneId]?.key ?? '',
    strong: line.laneId === chosen,
  }))
}
