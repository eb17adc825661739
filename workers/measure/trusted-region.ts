import { type Px, type SlowlaneRecord, noDeviations } from '../record/index.ts'
import { laneGeometry } from './lane-geometry.ts'
import { distort } from './lens.ts'
import { calibrationPoints } from './plane-report.ts'

/** Part of a lane line that lies outside what its plane's corners or points surround, widened by half their extent. */
export interface OutsideRegion {
  readonly kind: 'line-outside-plane'
  /** 0 … 1 of the lane's length. */
  readonly share: number
  /** Greatest distance from the middle of the calibration over its reach in that direction; 1 is on its border. */
  readonly reach: number
}

/** Beyond this multiple of the calibration's own reach, its error is extended rather than enclosed. */
export const trustedReach = 1.5

/**
 * Whether a lane line leaves the trusted region of its plane. Undefined where it stays inside, and where bars or ticks give the scale, whose error
 * elsewhere in the picture is counted through pitch and yaw instead.
 */
export function outsideRegion(record: SlowlaneRecord, viewId: string, laneId: string): OutsideRegion | undefined {
  const view = record.views[viewId]
  const line = view?.lines[laneId]
  const plane = line?.planeId ? view?.planes[line.planeId] : undefined
  if (!plane || plane.kind === 'bars' || (line?.ticks?.length ?? 0) > 0) return undefined
  const geometry = laneGeometry(record, viewId, laneId, noDeviations)
  if (geometry.kind !== 'lane') return undefined
  const hull = convexHull(calibrationPoints(plane))
  const steps = 100
  let outside = 0
  let reach = 0
  for (let i = 0; i <= steps; i++) {
    const at = geometry.pictureAt((geometry.length_m * i) / steps)
    const here = reachOf(hull, distort(geometry.lens, at.x, at.y))
    reach = Math.max(reach, here)
    if (here > trustedReach) outside++
  }
  return outside === 0 ? undefined : { kind: 'line-outside-plane', share: outside / (steps + 1), reach }
}

/** Distance from the hull's middle over the hull's own extent that way: over 1 outside. */
function reachOf(hull: readonly Px[], p: Px): number {
  const cx = hull.reduce((sum, q) => sum + q.x, 0) / hull.length
  const cy = hull.reduce((sum, q) => sum + q.y, 0) / hull.length
  let most = 0
  for (const [i, a] of hull.entries()) {
    const b = hull[(i + 1) % hull.length]!
    // Outward normal of this side (hull counter-clockwise in a system with y down or up alike, by the sign of the middle).
    const [nx, ny] = [b.y - a.y, a.x - b.x]
    const wall = nx * (a.x - cx) + ny * (a.y - cy)
    if (wall !== 0) most = Math.max(most, (nx * (p.x - cx) + ny * (p.y - cy)) / wall)
  }
  return most
}

/** Corners of the smallest convex region around the points. Source: Andrew's monotone chain, 1979. */
export function convexHull(points: readonly Px[]): Px[] {
  const sorted = [...points].sort((a, b) => a.x - b.x || a.y - b.y)
  const half = (list: readonly Px[]) => {
    const chain: Px[] = []
    for (const p of list) {
      while (chain.length >= 2) {
        const [a, b] = [chain[chain.length - 2]!, chain[chain.length - 1]!]
        if ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x) > 0) break
        chain.pop()
      }
      chain.push(p)
    }
    chain.pop()
    return chain
  }
  return [...half(sorted), ...half(sorted.toReversed())]
}
