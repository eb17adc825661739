import type { Facet } from './facets.ts'
import { cross, dot, scale } from './vector.ts'

export interface Hit {
  t: number
  facet: number
  /** Place inside the facet, in its two edges. */
  u: number
  v: number
}

/** Finds what a ray meets: facets in a tree of boxes, split at the median along the longest axis. */
export interface FacetTree {
  /** First facet hit between `near` and `far` along the ray, into `hit`. Directions need not have length 1. */
  trace(
    ox: number,
    oy: number,
    oz: number,
    dx: number,
    dy: number,
    dz: number,
    near: number,
    far: number,
    hit: Hit,
  ): boolean
  /** Where the ray meets the plane of one facet, inside it or not, into `hit`. */
  meet(facet: number, ox: number, oy: number, oz: number, dx: number, dy: number, dz: number, hit: Hit): void
  /** Whether anything lies between `near` and `far`. */
  blocked(ox: number, oy: number, oz: number, dx: number, dy: number, dz: number, near: number, far: number): boolean
}

const leafSize = 3

export function buildFacetTree(facets: readonly Facet[]): FacetTree {
  const count = facets.length
  // Per facet: origin, plane normal, and the two vectors that read u and v off a point of the plane.
  const geometry = new Float64Array(count * 12)
  const triangles = new Uint8Array(count)
  const low = new Float64Array(count * 3)
  const high = new Float64Array(count * 3)
  facets.forEach((piece, i) => {
    const n = cross(piece.edge1, piece.edge2)
    const area = dot(n, n)
    const readU = scale(cross(piece.edge2, n), 1 / area)
    const readV = scale(cross(n, piece.edge1), 1 / area)
    geometry.set([...piece.origin, ...n, ...readU, ...readV], i * 12)
    triangles[i] = piece.triangle ? 1 : 0
    for (let axis = 0; axis < 3; axis++) {
      const o = piece.origin[axis]!
      const a = piece.edge1[axis]!
      const b = piece.edge2[axis]!
      const corners = piece.triangle ? [o, o + a, o + b] : [o, o + a, o + b, o + a + b]
      low[i * 3 + axis] = Math.min(...corners) - 1e-7
      high[i * 3 + axis] = Math.max(...corners) + 1e-7
    }
  })

  const order = Array.from({ length: count }, (_, i) => i)
  const boxes: number[] = []
  const links: number[] = []
  const build = (first: number, last: number): number => {
    const node = links.length / 3
    links.push(0, 0, 0)
    const lo = [Infinity, Infinity, Infinity]
    const hi = [-Infinity, -Infinity, -Infinity]
    for (let i = first; i < last; i++) {
      for (let axis = 0; axis < 3; axis++) {
        lo[axis] = Math.min(lo[axis]!, low[order[i]! * 3 + axis]!)
        hi[axis] = Math.max(hi[axis]!, high[order[i]! * 3 + axis]!)
      }
    }
    boxes.push(...lo, ...hi)
    if (last - first <= leafSize) {
      links[node * 3 + 1] = first
      links[node * 3 + 2] = last - first
      return node
    }
    const sizes = [hi[0]! - lo[0]!, hi[1]! - lo[1]!, hi[2]! - lo[2]!]
    const axis = sizes.indexOf(Math.max(...sizes))
    const middle = (i: number): number => low[i * 3 + axis]! + high[i * 3 + axis]!
    const part = order.slice(first, last).sort((a, b) => middle(a) - middle(b) || a - b)
    part.forEach((value, i) => (order[first + i] = value))
    const half = (first + last) >> 1
    links[node * 3 + 1] = axis
    build(first, half)
    // The left child follows its parent, so only the right one needs a link.
    links[node * 3] = build(half, last)
    return node
  }
  if (count > 0) build(0, count)
  const box = Float64Array.from(boxes)
  const link = Int32Array.from(links)
  const sorted = Int32Array.from(order)
  const stack = new Int32Array(64)

  const walk = (
    ox: number,
    oy: number,
    oz: number,
    dx: number,
    dy: number,
    dz: number,
    near: number,
    far: number,
    hit: Hit | null,
  ): boolean => {
    if (count === 0) return false
    const ix = 1 / dx
    const iy = 1 / dy
    const iz = 1 / dz
    let best = far
    let found = false
    let depth = 0
    stack[depth++] = 0
    while (depth > 0) {
      const node = stack[--depth]!
      const b = node * 6
      const x1 = (box[b]! - ox) * ix
      const x2 = (box[b + 3]! - ox) * ix
      const y1 = (box[b + 1]! - oy) * iy
      const y2 = (box[b + 4]! - oy) * iy
      const z1 = (box[b + 2]! - oz) * iz
      const z2 = (box[b + 5]! - oz) * iz
      const enter = Math.max(Math.min(x1, x2), Math.min(y1, y2), Math.min(z1, z2), near)
      const leave = Math.min(Math.max(x1, x2), Math.max(y1, y2), Math.max(z1, z2), best)
      if (!(enter <= leave)) continue
      const size = link[node * 3 + 2]!
      if (size === 0) {
        const right = link[node * 3]!
        const axis = link[node * 3 + 1]!
        // The nearer child last, so that it is looked at first and the farther one is mostly left out.
        const leftFirst = (axis === 0 ? dx : axis === 1 ? dy : dz) > 0
        stack[depth++] = leftFirst ? right : node + 1
        stack[depth++] = leftFirst ? node + 1 : right
        continue
      }
      const first = link[node * 3 + 1]!
      for (let i = first; i < first + size; i++) {
        const id = sorted[i]!
        const g = id * 12
        const nx = geometry[g + 3]!
        const ny = geometry[g + 4]!
        const nz = geometry[g + 5]!
        const rx = ox - geometry[g]!
        const ry = oy - geometry[g + 1]!
        const rz = oz - geometry[g + 2]!
        const t = -(rx * nx + ry * ny + rz * nz) / (dx * nx + dy * ny + dz * nz)
        if (!(t > near && t < best)) continue
        const px = rx + t * dx
        const py = ry + t * dy
        const pz = rz + t * dz
        const u = px * geometry[g + 6]! + py * geometry[g + 7]! + pz * geometry[g + 8]!
        const v = px * geometry[g + 9]! + py * geometry[g + 10]! + pz * geometry[g + 11]!
        if (u < 0 || v < 0 || (triangles[id] === 1 ? u + v > 1 : u > 1 || v > 1)) continue
        if (hit === null) return true
        best = t
        found = true
        hit.t = t
        hit.facet = id
        hit.u = u
        hit.v = v
      }
    }
    return found
  }
  return {
    trace: (ox, oy, oz, dx, dy, dz, near, far, hit) => walk(ox, oy, oz, dx, dy, dz, near, far, hit),
    meet(id, ox, oy, oz, dx, dy, dz, hit) {
      const g = id * 12
      const rx = ox - geometry[g]!
      const ry = oy - geometry[g + 1]!
      const rz = oz - geometry[g + 2]!
      const nx = geometry[g + 3]!
      const ny = geometry[g + 4]!
      const nz = geometry[g + 5]!
      const t = -(rx * nx + ry * ny + rz * nz) / (dx * nx + dy * ny + dz * nz)
      const px = rx + t * dx
      const py = ry + t * dy
      const pz = rz + t * dz
      hit.t = t
      hit.facet = id
      hit.u = px * geometry[g + 6]! + py * geometry[g + 7]! + pz * geometry[g + 8]!
      hit.v = px * geometry[g + 9]! + py * geometry[g + 10]! + pz * geometry[g + 11]!
    },
    blocked: (ox, oy, oz, dx, dy, dz, near, far) => walk(ox, oy, oz, dx, dy, dz, near, far, null),
  }
}

export const noHit = (): Hit => ({ t: 0, facet: -1, u: 0, v: 0 })
