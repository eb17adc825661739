import type { Facet } from './facets.ts'
import { buildFacetTree, noHit, type FacetTree, type Hit } from './facet-tree.ts'
import { albedo } from './materials.ts'
import { add, along, cross, dot, length, normaliseOr, scale, subtract, unit, type Vec3 } from './vector.ts'

/** The window that lights the bench: a soft disc, and what the room sends back from everywhere. */
export interface Lamp {
  readonly position: Vec3
  readonly radius_m: number
  /** Light on a surface facing the lamp at distance `at_m`. */
  readonly strength: number
  readonly at_m: number
}

export const windowLight: Lamp = { position: [-0.75, -1.5, 1.75], radius_m: 0.38, strength: 0.66, at_m: 2.2 }
/** Share of the room's own light from above and from below. */
export const skyLight = 0.4
export const groundLight = 0.2

const shadowRays = 36
const roomRays = 40
/** Reach of the darkening in corners [m]. */
const cornerReach_m = 0.2

/** Shares of the window and of the room seen from a grid of points on a facet, worked out when first asked for:
 *  a picture shows little of a wall. */
interface LightMap {
  readonly columns: number
  readonly window: Float32Array
  readonly room: Float32Array
  /** Fills in one point of the grid. */
  fill(index: number): void
}

/** Scenery with its light worked out once. */
export interface LitScenery {
  readonly facets: readonly Facet[]
  readonly normals: readonly Vec3[]
  readonly tree: FacetTree
  /** Colour of a hit into `out` [0..2]; returns the share of it that comes straight from the window. */
  shade(hit: Hit, out: Float64Array): number
}

/** Van der Corput sequence in base 2 and 3: evenly spread points without a random source. */
export function spread(i: number, base: number): number {
  let value = 0
  let f = 1 / base
  for (let n = i; n > 0; n = Math.floor(n / base)) {
    value += f * (n % base)
    f /= base
  }
  return value
}

/** Light of the window on a surface with normal `n` at `p`, were nothing in between. */
export function windowOn(p: Vec3, n: Vec3, lamp: Lamp = windowLight): number {
  const d = subtract(lamp.position, p)
  const far = length(d)
  return (Math.max(0, dot(n, d) / far) * lamp.strength * lamp.at_m * lamp.at_m) / (far * far)
}

export function light(facets: readonly Facet[], eye: Vec3): LitScenery {
  const tree = buildFacetTree(facets)
  const normals = facets.map((piece) => facing(piece, eye))
  const maps = facets.map((piece, i) => lightMap(piece, normals[i]!, tree))
  const shares = new Float64Array(2)
  const shade = (hit: Hit, out: Float64Array): number => {
    const piece = facets[hit.facet]!
    const map = maps[hit.facet]!
    const { origin, edge1, edge2 } = piece.texture
    albedo(
      piece.material,
      origin[0] + hit.u * edge1[0] + hit.v * edge2[0],
      origin[1] + hit.u * edge1[1] + hit.v * edge2[1],
      origin[2] + hit.u * edge1[2] + hit.v * edge2[2],
      out,
    )
    const n = normals[hit.facet]!
    const p = along(along(piece.origin, piece.edge1, hit.u), piece.edge2, hit.v)
    read(map, hit.u, hit.v, shares)
    const direct = windowOn(p, n) * shares[0]!
    const room = (groundLight + (skyLight - groundLight) * (0.5 + 0.5 * n[2])) * shares[1]!
    const total = direct + room
    // The window is a little cooler than the lamps of the room.
    out[0]! *= direct * 0.99 + room * 1.03
    out[1]! *= total
    out[2]! *= direct * 1.02 + room * 0.93
    return total > 0 ? direct / total : 0
  }
  return { facets, normals, tree, shade }
}

function facing(piece: Facet, eye: Vec3): Vec3 {
  const n = unit(cross(piece.edge1, piece.edge2))
  return dot(n, subtract(eye, piece.origin)) < 0 ? scale(n, -1) : n
}

function lightMap(piece: Facet, normal: Vec3, tree: FacetTree): LightMap {
  const cells = (edge: Vec3): number => Math.min(700, Math.max(2, Math.round(length(edge) / 0.006) + 1))
  const columns = cells(piece.edge1)
  const rows = cells(piece.edge2)
  const side = normaliseOr(piece.edge1, [1, 0, 0])
  const other = cross(normal, side)
  const window = new Float32Array(columns * rows).fill(NaN)
  const room = new Float32Array(columns * rows)
  return {
    columns,
    window,
    room,
    fill(index) {
      // Grid points a little inside the edges, where a corner would swallow them.
      const u = inset(index % columns, columns)
      const v = inset(Math.floor(index / columns), rows)
      const p = add(along(along(piece.origin, piece.edge1, u), piece.edge2, v), scale(normal, 2e-5))
      const turn = spread(index + 1, 7)
      window[index] = windowSeen(p, normal, tree, turn)
      room[index] = roomSeen(p, normal, side, other, tree, turn)
    },
  }
}

const inset = (i: number, count: number): number => Math.min(0.985, Math.max(0.015, i / (count - 1)))

function windowSeen(p: Vec3, normal: Vec3, tree: FacetTree, turn: number): number {
  const towards = subtract(windowLight.position, p)
  if (dot(towards, normal) <= 0) return 0
  const u = unit(cross(towards, [0, 0, 1]))
  const v = unit(cross(u, towards))
  let seen = 0
  for (let i = 0; i < shadowRays; i++) {
    const radius = windowLight.radius_m * Math.sqrt((i + 0.5) / shadowRays)
    // Golden angle: the points of a sunflower.
    const angle = i * 2.399963 + turn * 6.283185
    const d = along(along(towards, u, radius * Math.cos(angle)), v, radius * Math.sin(angle))
    if (!tree.blocked(p[0], p[1], p[2], d[0], d[1], d[2], 1e-4, 1)) seen++
  }
  return seen / shadowRays
}

function roomSeen(p: Vec3, n: Vec3, side: Vec3, other: Vec3, tree: FacetTree, turn: number): number {
  let seen = 0
  const hit = noHit()
  for (let i = 0; i < roomRays; i++) {
    const square = (i + 0.5) / roomRays
    const angle = i * 2.399963 + turn * 6.283185
    const radius = Math.sqrt(square)
    const rise = Math.sqrt(1 - square)
    const d = along(along(scale(n, rise), side, radius * Math.cos(angle)), other, radius * Math.sin(angle))
    if (!tree.trace(p[0], p[1], p[2], d[0], d[1], d[2], 1e-4, cornerReach_m, hit)) seen += 1
    // What stands in the way also sends some light back, the more the farther away.
    else seen += 0.25 + 0.6 * (hit.t / cornerReach_m)
  }
  return seen / roomRays
}

/** Shares of window and room at a place of a facet, between the four grid points around it, into `out`. */
function read(map: LightMap, u: number, v: number, out: Float64Array): void {
  const { columns, window, room } = map
  const rows = window.length / columns
  const x = Math.min(1, Math.max(0, u)) * (columns - 1)
  const y = Math.min(1, Math.max(0, v)) * (rows - 1)
  const xi = Math.min(columns - 2, Math.floor(x))
  const yi = Math.min(rows - 2, Math.floor(y))
  const fx = x - xi
  const fy = y - yi
  let seen = 0
  let open = 0
  for (let corner = 0; corner < 4; corner++) {
    const right = corner & 1
    const down = corner >> 1
    const index = (yi + down) * columns + xi + right
    if (Number.isNaN(window[index]!)) map.fill(index)
    const weight = (right === 1 ? fx : 1 - fx) * (down === 1 ? fy : 1 - fy)
    seen += weight * window[index]!
    open += weight * room[index]!
  }
  out[0] = seen
  out[1] = open
}
