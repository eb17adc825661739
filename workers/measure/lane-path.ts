import * as maths from '../elementary/maths.ts'
import type { Point } from './homography.ts'

/**
 * The path of a ball's centre in a flat system (metres on a plane, or pixels where a tick tape gives the lengths), with arc length from its
 * start. `project` writes [arc length, distance across (positive to the right of the direction of travel as seen with y down), unit direction x, y].
 */
export interface LanePath {
  readonly length: number
  readonly project: (x: number, y: number, out: Float64Array) => void
  readonly at: (s: number) => { readonly x: number; readonly y: number; readonly dx: number; readonly dy: number }
}

export type PathProblem = { readonly kind: 'line-too-short'; readonly length: number }

/** A straight lane: through two points, or the best line (least squares of the distances from it) through more. */
export function straightPath(points: readonly Point[]): LanePath | PathProblem {
  const first = points[0]!
  const last = points[points.length - 1]!
  let ax = first.x
  let ay = first.y
  let dx = last.x - first.x
  let dy = last.y - first.y
  if (points.length > 2) {
    const n = points.length
    const mx = points.reduce((sum, p) => sum + p.x, 0) / n
    const my = points.reduce((sum, p) => sum + p.y, 0) / n
    let xx = 0
    let xy = 0
    let yy = 0
    for (const p of points) {
      xx += (p.x - mx) ** 2
      xy += (p.x - mx) * (p.y - my)
      yy += (p.y - my) ** 2
    }
    const angle = 0.5 * maths.atan2(2 * xy, xx - yy)
    const sense = maths.cos(angle) * dx + maths.sin(angle) * dy < 0 ? -1 : 1
    const [ux, uy] = [sense * maths.cos(angle), sense * maths.sin(angle)]
    const start = (first.x - mx) * ux + (first.y - my) * uy
    const end = (last.x - mx) * ux + (last.y - my) * uy
    ax = mx + start * ux
    ay = my + start * uy
    dx = (end - start) * ux
    dy = (end - start) * uy
  }
  const length = maths.hypot(dx, dy)
  if (!(length > 0) || !Number.isFinite(length)) return { kind: 'line-too-short', length }
  const ux = dx / length
  const uy = dy / length
  return {
    length,
    project: (x, y, out) => {
      const px = x - ax
      const py = y - ay
      out[0] = px * ux + py * uy
      out[1] = py * ux - px * uy
      out[2] = ux
      out[3] = uy
    },
    at: (s) => ({ x: ax + s * ux, y: ay + s * uy, dx: ux, dy: uy }),
  }
}

/** Corner by corner. Beyond either end the first or last stretch goes on straight. */
export function polylinePath(points: readonly Point[]): LanePath | PathProblem {
  const kept = points.filter((p, i) => i === 0 || maths.hypot(p.x - points[i - 1]!.x, p.y - points[i - 1]!.y) > 0)
  if (kept.length < 2) return { kind: 'line-too-short', length: 0 }
  const n = kept.length - 1
  const start = new Float64Array(n + 1)
  const ux = new Float64Array(n)
  const uy = new Float64Array(n)
  for (let i = 0; i < n; i++) {
    const dx = kept[i + 1]!.x - kept[i]!.x
    const dy = kept[i + 1]!.y - kept[i]!.y
    const length = maths.hypot(dx, dy)
    ux[i] = dx / length
    uy[i] = dy / length
    start[i + 1] = start[i]! + length
  }
  const length = start[n]!
  return {
    length,
    project: (x, y, out) => {
      let nearest = Infinity
      for (let i = 0; i < n; i++) {
        const px = x - kept[i]!.x
        const py = y - kept[i]!.y
        const along = px * ux[i]! + py * uy[i]!
        const low = i === 0 ? -Infinity : 0
        const high = i === n - 1 ? Infinity : start[i + 1]! - start[i]!
        const t = Math.min(high, Math.max(low, along))
        const gapX = px - t * ux[i]!
        const gapY = py - t * uy[i]!
        const gap = gapX * gapX + gapY * gapY
        if (gap >= nearest) continue
        nearest = gap
        out[0] = start[i]! + t
        out[1] = Math.sign(py * ux[i]! - px * uy[i]!) * Math.sqrt(gap)
        out[2] = ux[i]!
        out[3] = uy[i]!
      }
    },
    at: (s) => {
      let i = 0
      while (i < n - 1 && start[i + 1]! <= s) i++
      const t = s - start[i]!
      return { x: kept[i]!.x + t * ux[i]!, y: kept[i]!.y + t * uy[i]!, dx: ux[i]!, dy: uy[i]! }
    },
  }
}
