import { add, along, cross, length, scale, subtract, unit, type Vec3 } from './vector.ts'
import { acrossOf, type LanePath } from './path.ts'
import type { Material } from './materials.ts'

/** A flat piece of scenery: a parallelogram from `origin` along `edge1` and `edge2`, or the triangle between them.
 *  `texture` places it in the space of its material, in metres, grain along the first axis. */
export interface Facet {
  readonly origin: Vec3
  readonly edge1: Vec3
  readonly edge2: Vec3
  readonly triangle: boolean
  readonly material: Material
  readonly texture: { readonly origin: Vec3; readonly edge1: Vec3; readonly edge2: Vec3 }
  /** In front of a lane on purpose: what it hides is told apart in the truth. */
  readonly post: boolean
}

type Marking = { readonly material: Material; readonly post?: boolean }

const facet = (origin: Vec3, edge1: Vec3, edge2: Vec3, texture: Facet['texture'], marking: Marking): Facet => ({
  origin,
  edge1,
  edge2,
  triangle: false,
  material: marking.material,
  texture,
  post: marking.post ?? false,
})

/** A panel; its texture runs along the two edges. */
export function panel(origin: Vec3, edge1: Vec3, edge2: Vec3, marking: Marking): Facet {
  const texture = {
    origin: [0, 0, 0] as Vec3,
    edge1: [length(edge1), 0, 0] as Vec3,
    edge2: [0, length(edge2), 0] as Vec3,
  }
  return facet(origin, edge1, edge2, texture, marking)
}

/** A box between two corners; grain along axis `grain` (0 = x, 1 = y, 2 = z). */
export function box(low: Vec3, high: Vec3, grain: 0 | 1 | 2, marking: Marking): Facet[] {
  const turn = (v: Vec3): Vec3 => (grain === 0 ? v : grain === 1 ? [v[1], v[0], v[2]] : [v[2], v[0], v[1]])
  const d = subtract(high, low)
  const dx: Vec3 = [d[0], 0, 0]
  const dy: Vec3 = [0, d[1], 0]
  const dz: Vec3 = [0, 0, d[2]]
  const side = (origin: Vec3, e1: Vec3, e2: Vec3): Facet =>
    facet(origin, e1, e2, { origin: turn(origin), edge1: turn(e1), edge2: turn(e2) }, marking)
  return [
    side(low, dx, dz),
    side(add(low, dy), dx, dz),
    side(low, dy, dz),
    side(add(low, dx), dy, dz),
    side(low, dx, dy),
    side(add(low, dz), dx, dy),
  ]
}

/** A cross-section carried along a path; the chain of (across, height) is taken around the path's line. */
export function sweep(
  path: LanePath,
  chain: readonly (readonly [number, number])[],
  from_m: number,
  to_m: number,
  marking: Marking,
): Facet[] {
  const pieces = path.straight ? 1 : Math.ceil((to_m - from_m) / 0.02)
  const corner = (s: number, [across, height]: readonly [number, number]): Vec3 => {
    const { point, tangent, up } = path.at(s)
    return along(along(point, acrossOf(tangent, up), across), up, height)
  }
  const facets: Facet[] = []
  for (let piece = 0; piece < pieces; piece++) {
    const s0 = from_m + ((to_m - from_m) * piece) / pieces
    const s1 = from_m + ((to_m - from_m) * (piece + 1)) / pieces
    for (let i = 0; i + 1 < chain.length; i++) {
      const a = chain[i]!
      const b = chain[i + 1]!
      const texture = (s: number, [across, height]: readonly [number, number]): Vec3 => [s, across, height]
      const origin = corner(s0, a)
      const place = {
        origin: texture(s0, a),
        edge1: subtract(texture(s1, a), texture(s0, a)),
        edge2: subtract(texture(s0, b), texture(s0, a)),
      }
      const first = facet(origin, subtract(corner(s1, a), origin), subtract(corner(s0, b), origin), place, marking)
      if (path.straight) {
        facets.push(first)
        continue
      }
      // Two triangles: the four corners of a bent piece do not lie in one plane.
      const far = corner(s1, b)
      const farPlace = { origin: texture(s1, b), edge1: scale(place.edge1, -1), edge2: scale(place.edge2, -1) }
      facets.push({ ...first, triangle: true })
      facets.push({
        ...facet(far, subtract(corner(s0, b), far), subtract(corner(s1, a), far), farPlace, marking),
        triangle: true,
      })
    }
  }
  return facets
}

/** The ends of a straight swept piece, so that no one looks into a hollow: a fan of triangles. */
export function cap(
  path: LanePath,
  chain: readonly (readonly [number, number])[],
  at_m: number,
  marking: Marking,
): Facet[] {
  const { point, tangent, up } = path.at(at_m)
  const side = acrossOf(tangent, up)
  const corner = ([across, height]: readonly [number, number]): Vec3 => along(along(point, side, across), up, height)
  const foot = chain[0]!
  const other = chain[chain.length - 1]!
  const hub: readonly [number, number] = [(foot[0] + other[0]) / 2, foot[1]]
  const texture = ([across, height]: readonly [number, number]): Vec3 => [at_m, across, height]
  return chain.slice(1).map((b, i) => {
    const a = chain[i]!
    const place = {
      origin: texture(hub),
      edge1: subtract(texture(a), texture(hub)),
      edge2: subtract(texture(b), texture(hub)),
    }
    const origin = corner(hub)
    return {
      ...facet(origin, subtract(corner(a), origin), subtract(corner(b), origin), place, marking),
      triangle: true,
    }
  })
}

/** A round bar between two points, as flat sides (enough of them to look round at this size). */
export function bar(from: Vec3, to: Vec3, radius_m: number, sides: number, marking: Marking, taper = 1): Facet[] {
  const axis = unit(subtract(to, from))
  const helper: Vec3 = Math.abs(axis[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0]
  const u = unit(cross(axis, helper))
  const v = cross(axis, u)
  const rim = (centre: Vec3, radius: number, i: number): Vec3 => {
    const angle = (2 * Math.PI * i) / sides
    return along(along(centre, u, radius * Math.cos(angle)), v, radius * Math.sin(angle))
  }
  const facets: Facet[] = []
  for (let i = 0; i < sides; i++) {
    const a = rim(from, radius_m, i)
    const b = rim(from, radius_m, i + 1)
    const c = rim(to, radius_m * taper, i)
    if (taper === 1) {
      facets.push(panel(a, subtract(c, a), subtract(b, a), marking))
      continue
    }
    const d = rim(to, radius_m * taper, i + 1)
    facets.push({ ...panel(a, subtract(c, a), subtract(b, a), marking), triangle: true })
    facets.push({ ...panel(d, subtract(b, d), subtract(c, d), marking), triangle: true })
  }
  return facets
}
