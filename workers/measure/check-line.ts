import { type Px, type SlowlaneRecord, type Source, noDeviations } from '../record/index.ts'
import { spanOn } from './camera-plane.ts'
import { allSources } from './implicit-sources.ts'
import { undistort } from './lens.ts'
import { type PlaneMap, type PlaneProblem, planeMapOf } from './plane-map.ts'
import { propagate } from './propagate.ts'
import { planeSourceIds } from './run-sources.ts'

export interface CheckedLength {
  readonly kind: 'length'
  readonly length_m: number
  readonly u_m: number
}

const ends = ['check-a-x', 'check-a-y', 'check-b-x', 'check-b-y'] as const

/** Length between two points of the picture as the plane tells it, so that a known thing can be verified; with the placing of both points in u. */
export function checkLine(
  record: SlowlaneRecord,
  viewId: string,
  planeId: string,
  a: Px,
  b: Px,
): CheckedLength | PlaneProblem {
  const view = record.views[viewId]
  if (!view?.planes[planeId]) return { kind: 'plane-missing', planeId }
  const plane = planeMapOf(record, view, planeId, noDeviations)
  if (plane.kind !== 'plane') return plane
  const own: Record<string, Source> = {}
  for (const id of ends)
    own[id] = { id, name: 'placing', unit: 'px', distribution: { kind: 'normal', u: record.settings.placing_px } }
  const found = propagate(
    [...planeSourceIds(record, view, planeId), ...ends],
    { ...allSources(record), ...own },
    (deviations) => {
      const map = planeMapOf(record, view, planeId, deviations)
      if (map.kind !== 'plane') return undefined
      const by = (id: (typeof ends)[number]) => deviations.get(id) ?? 0
      return spanOfShown(
        map,
        { x: a.x + by('check-a-x'), y: a.y + by('check-a-y') },
        { x: b.x + by('check-b-x'), y: b.y + by('check-b-y') },
      )
    },
  )!
  return { kind: 'length', length_m: found.value, u_m: found.u }
}

/** Length [m] on a plane between two points of the displayed picture. */
export function spanOfShown(plane: PlaneMap, a: Px, b: Px): number {
  const p = undistort(plane.lens, a.x, a.y)
  const q = undistort(plane.lens, b.x, b.y)
  return spanOn(plane.toMetres, p, q)
}
