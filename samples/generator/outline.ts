import type { Camera } from './camera.ts'
import { along, cross, length, scale, subtract, unit, type Vec3 } from './vector.ts'

export interface Outline {
  /** Centroid of the outline in the picture, px: not quite where the centre is projected. */
  readonly x: number
  readonly y: number
  /** Radius of the circle with the outline's area, px. */
  readonly radius: number
}

const points = 128

/** The outline of a sphere: the circle where the cone of sight touches it, projected point by point
 *  (so that lens distortion is included), then centroid and area of the polygon. */
export function outlineOf(camera: Camera, centre: Vec3, radius_m: number): Outline {
  const line = subtract(centre, camera.position)
  const distance = length(line)
  const sight = unit(line)
  const helper: Vec3 = Math.abs(sight[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0]
  const u = unit(cross(sight, helper))
  const v = cross(sight, u)
  const nearer = (radius_m * radius_m) / distance
  const ring = radius_m * Math.sqrt(1 - (radius_m / distance) ** 2)
  const middle = subtract(centre, scale(sight, nearer))
  const seen = Array.from({ length: points }, (_, i) => {
    const angle = (2 * Math.PI * i) / points
    return camera.project(along(along(middle, u, ring * Math.cos(angle)), v, ring * Math.sin(angle)))
  })
  let area = 0
  let mx = 0
  let my = 0
  const [x0, y0] = seen[0]!
  for (let i = 0; i < points; i++) {
    const [ax, ay] = seen[i]!
    const [bx, by] = seen[(i + 1) % points]!
    const part = (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
    area += part / 2
    mx += (part * (ax + bx - 2 * x0)) / 6
    my += (part * (ay + by - 2 * y0)) / 6
  }
  // A polygon inscribed in a circle is smaller than it by sin(2π/n)/(2π/n).
  const step = (2 * Math.PI) / points
  const full = (Math.abs(area) * step) / Math.sin(step)
  return { x: x0 + mx / area, y: y0 + my / area, radius: Math.sqrt(full / Math.PI) }
}
