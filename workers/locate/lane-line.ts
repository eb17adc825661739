/** A lane's line as sampled points of the displayed picture, px, in the direction in which slopes count positive.
 *  It should run through the ball's centre; up to half a radius beside it is measured and reported. */
export interface LaneLine {
  readonly id: string
  readonly x: ArrayLike<number>
  readonly y: ArrayLike<number>
  /** Arc length at each point, px, rising. */
  readonly arc: ArrayLike<number>
  /** Radius of the ball's outline in px where known (from the scale or a settled click). */
  readonly radius_px?: number
}

export interface LinePoint {
  readonly x: number
  readonly y: number
  /** Unit tangent along the line; the normal (−ty, tx) points down for a line that runs to the right. */
  readonly tx: number
  readonly ty: number
}

/** Builds a lane line from points alone, with arc lengths. Throws on fewer than two distinct points. */
export function laneLine(id: string, points: readonly (readonly [number, number])[], radius_px?: number): LaneLine {
  const x: number[] = []
  const y: number[] = []
  const arc: number[] = []
  for (const [px, py] of points) {
    const last = x.length - 1
    const step = last < 0 ? 0 : Math.hypot(px - x[last]!, py - y[last]!)
    if (last >= 0 && step === 0) continue
    x.push(px)
    y.push(py)
    arc.push(last < 0 ? 0 : arc[last]! + step)
  }
  if (x.length < 2) throw new Error(`lane line ${id} needs two distinct points, has ${x.length}`)
  return radius_px === undefined ? { id, x, y, arc } : { id, x, y, arc, radius_px }
}

export function lineLength_px(line: LaneLine): number {
  return line.arc[line.arc.length - 1]! - line.arc[0]!
}

/** Index of the segment that holds the arc length; ends are extended straight. */
function segmentAt(line: LaneLine, s: number): number {
  let low = 0
  let high = line.arc.length - 2
  while (low < high) {
    const mid = (low + high + 1) >> 1
    if (line.arc[mid]! <= s) low = mid
    else high = mid - 1
  }
  return low
}

/** Point and tangent at an arc length [px]; beyond the ends the line goes on straight. */
export function pointAt(line: LaneLine, s: number): LinePoint {
  const i = segmentAt(line, s)
  const span = line.arc[i + 1]! - line.arc[i]!
  const dx = (line.x[i + 1]! - line.x[i]!) / span
  const dy = (line.y[i + 1]! - line.y[i]!) / span
  const norm = Math.hypot(dx, dy)
  const along = s - line.arc[i]!
  return { x: line.x[i]! + dx * along, y: line.y[i]! + dy * along, tx: dx / norm, ty: dy / norm }
}

/** A point `across` px beside the line (positive along the normal (−ty, tx)), with the line's tangent there. */
export function besideLine(line: LaneLine, s: number, across: number): LinePoint {
  const { x, y, tx, ty } = pointAt(line, s)
  return { x: x - ty * across, y: y + tx * across, tx, ty }
}

/** Arc length of the foot of the perpendicular from a point, and the signed distance from the line (positive on the
 *  side of the normal (−ty, tx)). Ends are extended straight. */
export function footOnLine(line: LaneLine, x: number, y: number): { s: number; across: number } {
  const last = line.arc.length - 2
  let best = { s: 0, across: Infinity, distance: Infinity }
  for (let i = 0; i <= last; i++) {
    const dx = line.x[i + 1]! - line.x[i]!
    const dy = line.y[i + 1]! - line.y[i]!
    const span = Math.hypot(dx, dy)
    let share = ((x - line.x[i]!) * dx + (y - line.y[i]!) * dy) / (span * span)
    if (i > 0) share = Math.max(0, share)
    if (i < last) share = Math.min(1, share)
    const ex = x - (line.x[i]! + share * dx)
    const ey = y - (line.y[i]! + share * dy)
    const distance = Math.hypot(ex, ey)
    if (distance < best.distance) {
      const across = (-ex * dy + ey * dx) / span
      best = { s: line.arc[i]! + share * (line.arc[i + 1]! - line.arc[i]!), across, distance }
    }
  }
  return { s: best.s, across: best.across }
}
