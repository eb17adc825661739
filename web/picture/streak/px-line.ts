import { pathThrough } from '../../../workers/measure/lane-line.ts'
import type { LanePath } from '../../../workers/measure/lane-path.ts'
import type { View } from '../../../workers/record/index.ts'

/** A lane's line in the displayed picture, as a path and as points that the decode thread reads along. */
export interface PxLine {
  readonly id: string
  readonly path: LanePath
  readonly x: Float64Array
  readonly y: Float64Array
  readonly arc: Float64Array
}

/** Points stand this close on a curve [px]; a straight line needs only its ends. */
const step_px = 4

/** The line of a lane in a view; null where it has none or it is too short to be one. */
export function pxLine(view: View, laneId: string): PxLine | null {
  const line = view.lines[laneId]
  if (!line) return null
  const path = pathThrough(line.shape, line.points)
  if ('kind' in path) return null
  const pieces = line.shape === 'straight' ? 1 : Math.max(2, Math.ceil(path.length / step_px))
  const arc = Float64Array.from({ length: pieces + 1 }, (_, i) => (path.length * i) / pieces)
  const points = Array.from(arc, (s) => path.at(s))
  return {
    id: laneId,
    path,
    arc,
    x: Float64Array.from(points, (p) => p.x),
    y: Float64Array.from(points, (p) => p.y),
  }
}

/** Arc length [px] of a picture point's foot on the line. */
export function arcOf(line: PxLine, x: number, y: number): number {
  const out = new Float64Array(4)
  line.path.project(x, y, out)
  return out[0]!
}
