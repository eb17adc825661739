import type { Sight } from '../sight.ts'
import type { PxLine } from './px-line.ts'

/** How a lane's arc length lies across the sheet [CSS px]: in the picture's own columns, or straightened over the width. */
export interface Along {
  readonly columns: boolean
  readonly toX: (arc: number) => number
  readonly toArc: (x: number) => number
}

/** A line that runs this much across the picture hangs under it column by column. */
const across = 0.9

/** In a side view the ball stands above its own place on the sheet; elsewhere the sheet is straightened along the lane. */
export function alongOf(line: PxLine, sight: Sight, width: number): Along {
  const length = line.path.length
  const n = line.x.length
  const dx = line.x[n - 1]! - line.x[0]!
  const straight = n === 2
  if (straight && Math.abs(dx) >= across * length) {
    const perArc = (sight.scale * dx) / length
    const start = sight.scale * line.x[0]! + sight.x
    return { columns: true, toX: (arc) => start + perArc * arc, toArc: (x) => (x - start) / perArc }
  }
  const scale = width / length
  return { columns: false, toX: (arc) => arc * scale, toArc: (x) => x / scale }
}
