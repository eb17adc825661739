import type { Marks, Px } from '../../../workers/record/index.ts'
import { trendOf } from './trend.ts'

/** How many of the nearest marks carry the expectation: enough to calm a click, few enough to follow a bend of the lane. */
const carried = 6

/**
 * Where the ball should be on a frame, from the marks around it: at rest after one mark, evenly on after two, with its acceleration from four on.
 * Undefined without marks, or where it would leave the picture by more than its own size.
 */
export function expectedPlace(marks: Marks, frame: number, picture: { width: number; height: number }): Px | undefined {
  const nearest = marks.frame
    .map((f, i) => ({ f, i }))
    .filter(({ f }) => f !== frame)
    .sort((a, b) => Math.abs(a.f - frame) - Math.abs(b.f - frame))
    .slice(0, carried)
  const first = nearest[0]
  if (!first) return undefined
  const place = { x: along(marks.x, nearest, frame), y: along(marks.y, nearest, frame) }
  const margin = 0.05 * picture.width
  const inside =
    place.x > -margin && place.y > -margin && place.x < picture.width + margin && place.y < picture.height + margin
  return inside ? place : undefined
}

function along(column: readonly number[], nearest: readonly { f: number; i: number }[], frame: number): number {
  const points = nearest.map(({ f, i }) => [f, column[i]!] as const)
  const trend = trendOf(points, points.length >= 4 ? 2 : 1)
  return trend.kind === 'trend' ? trend.at(frame) : points[0]![1]
}
