import { laneTicks, planeTicks, type OverlayTick } from '../../workers/measure/overlay-ticks.ts'
import type { SlowlaneRecord } from '../../workers/record/index.ts'
import { laneStroke } from './lane-stroke.ts'
import type { OverlayItem } from './overlay.ts'

const asItem = (id: string, ticks: readonly OverlayTick[], colour: string): OverlayItem => ({
  kind: 'ticks',
  id,
  colour,
  ticks: ticks.map(({ a, b, mm, size }) => ({
    a,
    b,
    ...(size === 'labelled' && mm > 0 ? { label: String(Math.round(mm)) } : {}),
  })),
})

/** Millimetre ticks along a plane's edges, to be held against the scene; nothing while the plane does not stand yet. */
export function planeTickItems(record: SlowlaneRecord, viewId: string, planeId: string, zoom: number): OverlayItem[] {
  const ticks = planeTicks(record, viewId, planeId, zoom)
  return 'kind' in ticks ? [] : [asItem(`plane ${planeId}`, ticks, 'var(--accent)')]
}

/** Millimetre ticks along a lane from its start. */
export function laneTickItems(record: SlowlaneRecord, viewId: string, laneId: string, zoom: number): OverlayItem[] {
  const ticks = laneTicks(record, viewId, laneId, zoom)
  return 'kind' in ticks ? [] : [asItem(`lane ${laneId}`, ticks, laneStroke(record, laneId).colour)]
}
