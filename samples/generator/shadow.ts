import { windowLight } from './light.ts'
import type { Vec3 } from './vector.ts'

/** Distance from the ball, in its radii, beyond which it no longer dims the light of the room. */
export const shadowReach = 3

/** How much light a ball at (cx, cy, cz) leaves at a point of the scenery: 1 untouched, 0 none.
 *  The window is a soft disc, so its shadow has a soft edge; the room's light is dimmed close to the ball. */
export function lightLeft(
  px: number,
  py: number,
  pz: number,
  normal: Vec3,
  windowShare: number,
  cx: number,
  cy: number,
  cz: number,
  radius_m: number,
): number {
  const wx = cx - px
  const wy = cy - py
  const wz = cz - pz
  const square = wx * wx + wy * wy + wz * wz
  const ball = radius_m * radius_m
  if (square <= ball) return 1
  let blocked = 0
  let room = 0
  const reach = 1 - square / (shadowReach * shadowReach * ball)
  const facing = normal[0] * wx + normal[1] * wy + normal[2] * wz
  if (reach > 0 && facing > 0) room = ((facing / Math.sqrt(square)) * ball * reach) / square
  if (windowShare > 0) {
    const [lx, ly, lz] = windowLight.position
    const dx = lx - px
    const dy = ly - py
    const dz = lz - pz
    const far = Math.sqrt(dx * dx + dy * dy + dz * dz)
    const near = (wx * dx + wy * dy + wz * dz) / far
    if (near > 0 && near < far) {
      const ballAngle = radius_m / near
      const windowAngle = windowLight.radius_m / far
      const apart = Math.sqrt(Math.max(0, square - near * near)) / near
      const outer = ballAngle + windowAngle
      if (apart < outer) {
        const full = Math.min(1, (ballAngle / windowAngle) ** 2)
        const f = Math.min(1, (outer - apart) / (outer - Math.abs(ballAngle - windowAngle)))
        blocked = full * f * f * (3 - 2 * f)
      }
    }
  }
  return windowShare * (1 - blocked) + (1 - windowShare) * (1 - 0.85 * Math.min(1, room))
}
