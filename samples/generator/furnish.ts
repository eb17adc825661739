import { bar, box, cap, panel, sweep, type Facet } from './facets.ts'
import { profile } from './guide.ts'
import { letterTag, wood, type Material } from './materials.ts'
import { acrossOf, buildPath, type LanePath } from './path.ts'
import type { Furniture, LaneSpec, Scene } from './scene.ts'
import { add, along, scale, type Vec3 } from './vector.ts'

const brass: Material = { kind: 'plain', colour: [0.34, 0.22, 0.07] }
const string: Material = { kind: 'plain', colour: [0.03, 0.028, 0.026] }
const steelRod: Material = { kind: 'plain', colour: [0.36, 0.37, 0.38] }
const card_m = 0.02
/** Height of the printed strip of the scale bar. */
export const barHeight_m = 0.022
export const barMargin_m = 0.008
export const skirting = { depth_m: 0.012, height_m: 0.028 } as const

/** Everything that stands still in a scene, as facets. */
export function furnish(scene: Scene): Facet[] {
  const { furniture } = scene
  return [
    ...room(furniture, scene.seed),
    ...furniture.uprights.flatMap((post) =>
      box(
        [post.x_m - post.width_m / 2, post.y_m[0], post.foot_m ?? furniture.bench_z_m],
        [post.x_m + post.width_m / 2, post.y_m[1], post.top_m],
        2,
        { material: post.material, post: post.hides ?? false },
      ),
    ),
    ...scene.lanes.flatMap(laneFacets),
    ...furniture.bars.flatMap((spec) => scaleBar(spec.from_m, spec.block_m, spec.blocks, furniture.bench_z_m)),
    ...rectangleCards(furniture),
    ...(furniture.plumb ?? []).flatMap(({ top_m, length_m }) => plumbLine(top_m, length_m)),
    ...lampHousing(furniture),
  ]
}

function room(furniture: Furniture, seed: number): Facet[] {
  const wall: Material = { kind: 'wall', colour: [0.585, 0.54, 0.465], seed }
  const board: Material = { kind: 'plain', colour: [0.52, 0.475, 0.4] }
  const y = furniture.wall_y_m
  const z = furniture.bench_z_m
  return [
    panel([-1.2, y, -0.6], [3.2, 0, 0], [0, 0, 2.4], { material: wall }),
    ...box([-1.2, y - skirting.depth_m, z], [2, y - 0.0005, z + skirting.height_m], 0, { material: board }),
    ...box([-1.2, -0.42, z - 0.04], [2, y - 0.001, z], 0, { material: wood('walnut', 'oiled', seed + 40) }),
  ]
}

function laneFacets(lane: LaneSpec): Facet[] {
  const path = buildPath(lane.path)
  const [from, to] = lane.built_m
  const { guide } = lane
  if (guide.kind === 'none') return []
  if (guide.kind === 'rods') return rods(path, lane, guide.apart_m, guide.rod_radius_m)
  const chain = profile(guide, lane.ball_radius_m)
  const marking = { material: lane.material }
  const facets = sweep(path, chain, from, to, marking)
  if (path.straight) facets.push(...cap(path, chain, from, marking), ...cap(path, chain, to, marking))
  const front = chain[1]!
  if (lane.tag_m !== undefined) {
    const { point, tangent, up } = path.at(lane.tag_m)
    const size = 0.013
    const corner = along(along(point, acrossOf(tangent, up), front[0] - 0.0004), up, front[1] - size - 0.002)
    const material = letterTag(lane.name, size * 1.1, size)
    facets.push(panel(corner, scale(tangent, size * 1.1), scale(up, size), { material }))
  }
  if (lane.ticks) {
    const { every_m, from_m, to_m } = lane.ticks
    const height_m = 0.007
    const material: Material = { kind: 'ticks', every_m, line_m: 0.0012, height_m }
    // The texture's second coordinate is the height, so the strip is swept as its own narrow chain, top edge first.
    const top = front[1] - 0.0003
    const strip = [
      [front[0] - 0.0004, top],
      [front[0] - 0.0004, top - height_m],
    ] as const
    for (const piece of sweep(path, strip, from_m, to_m, { material })) {
      const level = (v: Vec3, origin: boolean): Vec3 => [v[0], origin ? top - v[2] : -v[2], 0]
      const texture = {
        origin: level(piece.texture.origin, true),
        edge1: level(piece.texture.edge1, false),
        edge2: level(piece.texture.edge2, false),
      }
      facets.push({ ...piece, texture })
    }
  }
  return facets
}

/** Two steel rods on little wooden saddles. */
function rods(path: LanePath, lane: LaneSpec, apart_m: number, rod_m: number): Facet[] {
  const reach = lane.ball_radius_m + rod_m
  const below = -Math.sqrt(reach * reach - (apart_m * apart_m) / 4)
  const [from, to] = lane.built_m
  const place = (s: number, across: number): Vec3 => {
    const { point, tangent, up } = path.at(s)
    return along(along(point, acrossOf(tangent, up), across), up, below)
  }
  const facets = [-apart_m / 2, apart_m / 2].flatMap((across) =>
    bar(place(from, across), place(to, across), rod_m, 14, { material: steelRod }),
  )
  for (let s = from + 0.09; s < to; s += 0.21) {
    const { point } = path.at(s)
    const z = point[2] + below - rod_m
    const low: Vec3 = [point[0] - 0.006, point[1] - apart_m / 2 - 0.006, z - 0.012]
    const high: Vec3 = [point[0] + 0.006, point[1] + apart_m / 2 + 0.006, z + 0.0004]
    facets.push(...box(low, high, 1, { material: lane.material }))
  }
  return facets
}

/** A printed strip on a batten: dark blocks of known length, the first and last end being the ends of the bar. */
function scaleBar(from: Vec3, block_m: number, blocks: number, bench_z_m: number): Facet[] {
  const size_m = block_m * blocks + 2 * barMargin_m
  const material: Material = { kind: 'blocks', block_m, margin_m: barMargin_m, size_m }
  const corner = add(from, [-barMargin_m, 0, -barHeight_m / 2])
  const back = add(corner, [0, 0.0003, 0])
  return [
    panel(corner, [size_m, 0, 0], [0, 0, barHeight_m], { material }),
    ...box(back, add(back, [size_m, 0.012, barHeight_m]), 0, { material: wood('beech', 'sanded', 77) }),
    ...[0.12, 0.88].flatMap((share) => {
      const x = corner[0] + share * size_m
      const y = from[1]
      const foot = corner[2]
      if (foot <= bench_z_m + 1e-3) return []
      return box([x - 0.011, y + 0.002, bench_z_m], [x + 0.011, y + 0.022, foot - 1e-4], 2, {
        material: wood('beech', 'sanded', 79),
      })
    }),
  ]
}

/** Four cards on blocks; their centres are the corners of the rectangle. */
function rectangleCards(furniture: Furniture): Facet[] {
  const spec = furniture.rectangle
  if (!spec) return []
  const material: Material = { kind: 'quarters', size_m: card_m }
  return rectangleCorners(spec).flatMap((centre) => {
    const low = add(centre, [-card_m / 2, 0, -card_m / 2])
    const back = add(low, [-0.001, 0.0003, -0.001])
    return [
      panel(low, [card_m, 0, 0], [0, 0, card_m], { material }),
      ...box(back, add(back, [card_m + 0.002, 0.03, card_m + 0.002]), 0, { material: wood('beech', 'sanded', 78) }),
    ]
  })
}

/** Bottom left, bottom right, top right, top left. */
export function rectangleCorners(spec: NonNullable<Furniture['rectangle']>): readonly [Vec3, Vec3, Vec3, Vec3] {
  const { low_m, width_m, height_m } = spec
  return [low_m, add(low_m, [width_m, 0, 0]), add(low_m, [width_m, 0, height_m]), add(low_m, [0, 0, height_m])]
}

function plumbLine(top: Vec3, length_m: number): Facet[] {
  const end = add(top, [0, 0, -length_m])
  const neck = add(end, [0, 0, -0.004])
  const waist = add(end, [0, 0, -0.009])
  const marking = { material: brass }
  return [
    ...bar(top, end, 0.00035, 6, { material: string }),
    ...bar(end, neck, 0.002, 10, marking, 1.6),
    ...bar(neck, waist, 0.0032, 10, marking, 1.35),
    ...bar(waist, add(end, [0, 0, -0.026]), 0.0043, 10, marking, 0.04),
  ]
}

/** A small black box that carries the lamp. */
function lampHousing(furniture: Furniture): Facet[] {
  const { lamp } = furniture
  if (!lamp) return []
  const [x, y, z] = lamp.centre_m
  const r = lamp.radius_m
  const dark: Material = { kind: 'plain', colour: [0.03, 0.03, 0.035] }
  return box([x - 2 * r, y, z - 2 * r], [x + 2 * r, y + 0.02, z + 2 * r], 0, { material: dark })
}
