import { noHit } from './facet-tree.ts'
import { groundLight, skyLight, windowLight, windowOn, type LitScenery } from './light.ts'
import type { Surface } from './scene.ts'
import { acrossOf } from './path.ts'
import { dot, subtract, unit, type Vec3 } from './vector.ts'

/** A ball at one moment, ready to be looked at. */
export interface BallPose {
  readonly centre: Vec3
  readonly radius: number
  readonly tangent: Vec3
  readonly up: Vec3
  /** How far it has turned [rad], rolling forward. */
  readonly angle: number
  readonly surface: Surface
  /** Directions of its painted spots, in the ball's own axes (forward, up, across) at angle 0. */
  readonly spots: readonly Vec3[]
}

/** Evenly spread spots; the golden angle keeps them apart. `turn` differs from ball to ball. */
export function spotDirections(count: number, turn: number): Vec3[] {
  return Array.from({ length: count }, (_, i) => {
    const height = 1 - (2 * (i + 0.5)) / count
    const ring = Math.sqrt(1 - height * height)
    const angle = i * 2.399963 + turn
    return [ring * Math.cos(angle), ring * Math.sin(angle), height]
  })
}

const ease = (low: number, high: number, x: number): number => {
  const f = Math.min(1, Math.max(0, (x - low) / (high - low)))
  return f * f * (3 - 2 * f)
}

/** What a mirror sees in direction r (unit): the window, the room, the wall behind, the lane below. */
function surroundings(r: Vec3, towardsWindow: Vec3, out: Float64Array): void {
  const height = r[2]
  const ceiling = 0.1 + 0.42 * ease(-0.15, 0.95, height)
  const wall = ease(-0.1, 0.35, r[1])
  let red = ceiling * (1 - wall) * 0.98 + 0.4 * wall
  let green = ceiling * (1 - wall) + 0.385 * wall
  let blue = ceiling * (1 - wall) * 1.02 + 0.35 * wall
  // A second, dimmer opening on the other side of the room keeps the shape readable.
  const door = ease(0.9, 0.97, r[0] * 0.77 - r[1] * 0.6 + height * 0.2) * 0.5
  red += door
  green += door
  blue += door
  const lane = ease(-0.12, -0.42, height)
  const wood = 0.35 + 0.65 * ease(-1, -0.4, height)
  red += (0.27 * wood - red) * lane
  green += (0.165 * wood - green) * lane
  blue += (0.085 * wood - blue) * lane
  const glare = ease(0.976, 0.987, dot(r, towardsWindow)) * 5
  out[0] = red + glare
  out[1] = green + glare
  out[2] = blue + glare
}

const hit = noHit()

/** A function that colours points of one ball. `n` outward normal, `view` from the camera to the ball; both of length 1. */
export function ballLook(pose: BallPose, scenery: LitScenery): (n: Vec3, view: Vec3, out: Float64Array) => void {
  const { surface, centre, tangent, up } = pose
  const towardsWindow = unit(subtract(windowLight.position, centre))
  const axis = acrossOf(tangent, up)
  const cos = Math.cos(pose.angle)
  const sin = Math.sin(pose.angle)
  const mirrored = (n: Vec3, view: Vec3): Vec3 => {
    const twice = 2 * dot(n, view)
    return [view[0] - twice * n[0], view[1] - twice * n[1], view[2] - twice * n[2]]
  }
  switch (surface.kind) {
    case 'steel':
      return (n, view, out) => {
        const grazing = 1 - Math.abs(dot(n, view))
        surroundings(mirrored(n, view), towardsWindow, out)
        const shine = 0.62 + 0.38 * grazing ** 5
        // Down in the groove little light arrives.
        const open = 0.45 + 0.55 * ease(-1, -0.25, dot(n, up))
        for (let i = 0; i < 3; i++) out[i] = out[i]! * shine * open
      }
    case 'glass':
      return (n, view, out) => glass(pose, n, view, mirrored(n, view), towardsWindow, scenery, surface.tint, out)
    case 'matt': {
      const { spots } = surface
      const edge = spots ? Math.cos(spots.radius_rad) : 1
      const body: Vec3[] = [...pose.spots]
      return (n, view, out) => {
        const forward = dot(n, tangent)
        const upward = dot(n, up)
        const across = dot(n, axis)
        // Back into the axes of the ball before it turned.
        const x = forward * cos - upward * sin
        const y = forward * sin + upward * cos
        let paint = 0
        if (spots) {
          for (const spot of body) {
            const near = x * spot[0] + y * spot[1] + across * spot[2]
            if (near > edge - 0.012) paint = Math.max(paint, ease(edge - 0.006, edge + 0.006, near))
          }
        }
        const open = 0.35 + 0.65 * ease(-1, 0, upward)
        const room = (groundLight + (skyLight - groundLight) * (0.5 + 0.5 * n[2])) * open
        const direct = windowOn(centre, n) * (0.6 + 0.4 * ease(-0.9, -0.3, upward))
        const glare = surface.gloss * (ease(0.94, 0.99, dot(mirrored(n, view), towardsWindow)) * 0.85)
        const sheen = surface.gloss * 0.12 * (1 - Math.abs(dot(n, view))) ** 3
        for (let i = 0; i < 3; i++) {
          const base = surface.colour[i]! + ((spots?.colour[i] ?? 0) - surface.colour[i]!) * paint
          out[i] = base * (room + direct) + glare + sheen
        }
      }
    }
  }
}

/** Refractive index of soda-lime glass. */
const glassIndex = 1.52

function glass(
  pose: BallPose,
  n: Vec3,
  view: Vec3,
  mirror: Vec3,
  towardsWindow: Vec3,
  scenery: LitScenery,
  tint: readonly [number, number, number],
  out: Float64Array,
): void {
  const facing = -dot(n, view)
  // Schlick's approximation of Fresnel's reflectance.
  const normal = ((glassIndex - 1) / (glassIndex + 1)) ** 2
  const reflectance = normal + (1 - normal) * (1 - facing) ** 5
  surroundings(mirror, towardsWindow, out)
  const [mr, mg, mb] = [out[0]!, out[1]!, out[2]!]
  const bend = 1 / glassIndex
  const inner = Math.sqrt(1 - bend * bend * (1 - facing * facing))
  const d: Vec3 = [
    bend * view[0] + (bend * facing - inner) * n[0],
    bend * view[1] + (bend * facing - inner) * n[1],
    bend * view[2] + (bend * facing - inner) * n[2],
  ]
  // A chord of a sphere meets both ends at the same angle, so the way out mirrors the way in and is never blocked.
  const chord = -2 * dot(n, d)
  const m: Vec3 = [n[0] + chord * d[0], n[1] + chord * d[1], n[2] + chord * d[2]]
  const leaving = dot(d, m)
  const f = facing - glassIndex * leaving
  const exit: Vec3 = [glassIndex * d[0] + f * m[0], glassIndex * d[1] + f * m[1], glassIndex * d[2] + f * m[2]]
  const [cx, cy, cz] = pose.centre
  const R = pose.radius * 1.0005
  const seen = scenery.tree.trace(cx + R * m[0], cy + R * m[1], cz + R * m[2], exit[0], exit[1], exit[2], 1e-6, 10, hit)
  if (seen) scenery.shade(hit, out)
  else surroundings(exit, towardsWindow, out)
  const clear = (1 - reflectance) * 0.92
  out[0] = out[0]! * clear * tint[0] + mr * reflectance
  out[1] = out[1]! * clear * tint[1] + mg * reflectance
  out[2] = out[2]! * clear * tint[2] + mb * reflectance
}
