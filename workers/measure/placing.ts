import type { Deviations, Px, Source } from '../record/index.ts'
import { sourceId } from './source-ids.ts'

/** What kind of point was placed in the picture; part of the id of its placing noise. */
export type PlacedIn = readonly [viewId: string, role: 'plane' | 'line' | 'tick' | 'gravity', owner: string]

/** Ids of the two sources of a placed point's noise. */
export function placingIds(where: PlacedIn, point: string): readonly [x: string, y: string] {
  const [viewId, role, owner] = where
  const parts = role === 'plane' ? ['place', viewId, owner, point] : ['place', viewId, role, owner, point]
  return [sourceId(...parts, 'x'), sourceId(...parts, 'y')]
}

/** A placed point where its placing noise puts it [px]. */
export function placed(at: Px, where: PlacedIn, point: string, deviations: Deviations): Px {
  if (deviations.size === 0) return at
  const [x, y] = placingIds(where, point)
  return { x: at.x + (deviations.get(x) ?? 0), y: at.y + (deviations.get(y) ?? 0) }
}

/** The two sources of a placed point's noise, standard uncertainty `u_px` each. */
export function placingSources(where: PlacedIn, point: string, name: string, u_px: number): Source[] {
  const [x, y] = placingIds(where, point)
  const distribution = { kind: 'normal', u: u_px } as const
  const basis = 'how well a point is placed with the loupe'
  return [
    { id: x, name: `placing ${name}, across the picture`, unit: 'px', distribution, basis },
    { id: y, name: `placing ${name}, up and down`, unit: 'px', distribution, basis },
  ]
}
