import * as maths from '../elementary/maths.ts'
import type { Px } from '../record/index.ts'
import { edgePlace, edgeSense, isDarker, lineSort, profileStep_px, profilesAcross, ridgePlace } from './line-profile.ts'
import type { LumaPatch } from './luma-patch.ts'
import type { LanePath } from './lane-path.ts'
import { smoothPath } from './smooth-curve.ts'
import { solveLeastSquares } from './least-squares-small.ts'

export type BentEdgeReading =
  | {
      readonly kind: 'bent-edge'
      /** On the edge, from near the first given point to near the last. */
      readonly points: readonly Px[]
      /** Scatter of one of them across the edge [px]. */
      readonly u_px: number
      readonly of: number
    }
  | { readonly kind: 'string-short'; readonly px: number; readonly need: number }
  | { readonly kind: 'string-not-seen'; readonly seen: number; readonly of: number }

const shortest_px = 40
/** Places along the edge: as many as a record keeps. */
const mostPlaces = 48
/** How far from the placed curve it is looked for [px]; nearer where something beside it draws the places off. */
const reaches_px = [7, 3.5]
/** Places that scatter more than this lie on no one edge [px]. */
const mostScatter_px = 0.35
/** Neighbouring profiles brought together at each place [px to either side]. */
const gather_px = 3
/** Of the polynomial that an edge's course is held against: enough for what a lens does to a straight edge. */
const degree = 4

/**
 * Follows an edge, straight in the scene but bent by the lens, through three or more points placed along it (two serve where it is hardly bent):
 * at many places along the curve through them the edge, or the middle of a line, is found in sub-pixels. Places off the edge's own smooth course (a
 * polynomial of the fourth degree, which holds what a lens does to a straight edge) are left out.
 */
export function readBentEdge(patch: LumaPatch, placed: readonly Px[]): BentEdgeReading {
  const path = smoothPath(placed)
  if ('kind' in path) return { kind: 'string-short', px: 0, need: shortest_px }
  if (!(path.length >= shortest_px)) return { kind: 'string-short', px: path.length, need: shortest_px }
  const tries = reaches_px.map((reach) => followed(patch, placed, path, reach))
  return tries.find((reading) => reading.kind === 'bent-edge') ?? tries[0]!
}

function followed(patch: LumaPatch, placed: readonly Px[], path: LanePath, reach_px: number): BentEdgeReading {
  const half = Math.ceil(reach_px / profileStep_px)
  const count = Math.max(8, Math.min(mostPlaces, Math.floor(path.length / 8)))
  const bundles = Array.from({ length: count }, (_, i) => {
    const middle = gather_px + ((path.length - 2 * gather_px) * i) / (count - 1)
    const { x, y, dx, dy } = path.at(middle)
    const profiles = profilesAcross(
      patch,
      Array.from({ length: 2 * gather_px + 1 }, (_, k) => {
        const along = k - gather_px
        return { along, x: x + along * dx, y: y + along * dy, dx, dy }
      }),
      half,
    )
    const values = new Float64Array(2 * half + 1)
    for (const profile of profiles)
      for (const [k, value] of profile.values.entries()) values[k] = values[k]! + value / profiles.length
    return { along: middle, values, x, y, dx, dy, whole: profiles.length > 0 }
  }).filter((bundle) => bundle.whole)
  if (bundles.length < 8) return { kind: 'string-not-seen', seen: bundles.length, of: count }
  const what = lineSort(bundles, half)
  const darker = what === 'string' && isDarker(bundles)
  const sign = what === 'edge' ? edgeSense(bundles, half) : 1
  const found = bundles.flatMap(({ values, x, y, dx, dy }) => {
    const index = what === 'string' ? ridgePlace(values, darker) : edgePlace(values, sign)
    if (index === undefined) return []
    const across = (index - half) * profileStep_px
    return [{ x: x - across * dy, y: y + across * dx }]
  })
  const kept = onCourse(found, placed[0]!, placed[placed.length - 1]!)
  if (!kept || kept.points.length < Math.max(8, 0.5 * count) || kept.scatter > mostScatter_px)
    return { kind: 'string-not-seen', seen: kept?.points.length ?? 0, of: count }
  return { kind: 'bent-edge', points: kept.points, u_px: kept.scatter, of: count }
}

/** Those that lie on one smooth course against the chord from `a` to `b`, and their scatter about it. */
function onCourse(all: readonly Px[], a: Px, b: Px): { points: readonly Px[]; scatter: number } | undefined {
  const length = maths.hypot(b.x - a.x, b.y - a.y)
  const [dx, dy] = [(b.x - a.x) / length, (b.y - a.y) / length]
  let points = all
  for (let pass = 0; pass < 12; pass++) {
    const n = points.length
    if (n < degree + 3) return undefined
    const rows = new Float64Array(n * (degree + 1))
    const across = new Float64Array(n)
    for (const [i, p] of points.entries()) {
      const q = (2 * ((p.x - a.x) * dx + (p.y - a.y) * dy)) / length - 1
      for (let k = 0; k <= degree; k++) rows[i * (degree + 1) + k] = maths.pow(q, k)
      across[i] = (p.y - a.y) * dx - (p.x - a.x) * dy
    }
    const course = solveLeastSquares(rows.slice(), across.slice(), n, degree + 1)
    if (!course) return undefined
    const off = Array.from(across, (value, i) => {
      let rest = value
      for (let k = 0; k <= degree; k++) rest -= course[k]! * rows[i * (degree + 1) + k]!
      return Math.abs(rest)
    })
    const middle = [...off].sort((p, q) => p - q)[n >> 1]!
    const limit = Math.max(0.25, 4 * 1.4826 * middle)
    const next = points.filter((_, i) => off[i]! <= limit)
    if (next.length === n)
      return { points, scatter: Math.sqrt(off.reduce((sum, d) => sum + d * d, 0) / (n - degree - 1)) }
    points = next
  }
  return undefined
}
