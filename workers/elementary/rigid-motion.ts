import * as maths from './maths.ts'

interface Place {
  readonly x: number
  readonly y: number
}

/** A motion of the plane: by a turn about a place (positive from x to y), then by a shift. */
export interface RigidMotion {
  readonly turn_rad: number
  readonly dx: number
  readonly dy: number
}

/** Where the motion takes a place. */
export function moved({ turn_rad, dx, dy }: RigidMotion, about: Place, { x, y }: Place): Place {
  const [px, py] = [x - about.x, y - about.y]
  const [c, s] = [maths.cos(turn_rad), maths.sin(turn_rad)]
  return { x: about.x + c * px - s * py + dx, y: about.y + s * px + c * py + dy }
}

/** The place that the motion takes here. */
export function movedBack({ turn_rad, dx, dy }: RigidMotion, about: Place, { x, y }: Place): Place {
  const [px, py] = [x - about.x - dx, y - about.y - dy]
  const [c, s] = [maths.cos(turn_rad), maths.sin(turn_rad)]
  return { x: about.x + c * px + s * py, y: about.y - s * px + c * py }
}
