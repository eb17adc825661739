import * as maths from '../elementary/maths.ts'
import { splineSlopes } from './cubic-spline.ts'
import type { Point } from './homography.ts'
import { type LanePath, type PathProblem, straightPath } from './lane-path.ts'

/** Points and weights of the five-point Gauss–Legendre rule on [−1, 1]. Source: Abramowitz & Stegun, table 25.4. */
const nodes = [0, -0.5384693101056831, 0.5384693101056831, -0.906179845938664, 0.906179845938664]
const weights = [0.5688888888888889, 0.47862867049936647, 0.47862867049936647, 0.23692688505618908, 0.23692688505618908]

/** Fine pieces per span between two given points: starting places for the projection. */
const pieces = 24

/**
 * A smooth curve through the points: cubic spline with continuous curvature over chord length, ends "not a knot" (the first two and last two
 * spans are one cubic each). Arc length by five-point Gauss–Legendre. With two points the straight line.
 * Source: de Boor, A Practical Guide to Splines, chapter IV.
 */
export function smoothPath(points: readonly Point[]): LanePath | PathProblem {
  const kept = points.filter((p, i) => i === 0 || maths.hypot(p.x - points[i - 1]!.x, p.y - points[i - 1]!.y) > 0)
  if (kept.length < 2) return { kind: 'line-too-short', length: 0 }
  if (kept.length === 2) return straightPath(kept)
  const n = kept.length
  const knots = new Float64Array(n)
  for (let i = 1; i < n; i++)
    knots[i] = knots[i - 1]! + maths.hypot(kept[i]!.x - kept[i - 1]!.x, kept[i]!.y - kept[i - 1]!.y)
  const xs = Float64Array.from(kept, (p) => p.x)
  const ys = Float64Array.from(kept, (p) => p.y)
  const mx = splineSlopes(knots, xs)
  const my = splineSlopes(knots, ys)

  /** Position, first and second derivative at parameter t: [x, y, x', y', x'', y'']. */
  const here = new Float64Array(6)
  const spanOf = (t: number) => {
    let i = 0
    while (i < n - 2 && knots[i + 1]! <= t) i++
    return i
  }
  const evaluate = (t: number, span: number) => {
    const h = knots[span + 1]! - knots[span]!
    const q = (t - knots[span]!) / h
    hermite(q, h, xs[span]!, xs[span + 1]!, mx[span]!, mx[span + 1]!, here, 0)
    hermite(q, h, ys[span]!, ys[span + 1]!, my[span]!, my[span + 1]!, here, 1)
  }
  const speed = (t: number, span: number) => {
    evaluate(t, span)
    return maths.hypot(here[2]!, here[3]!)
  }
  const lengthBetween = (t0: number, t1: number, span: number) => {
    const half = (t1 - t0) / 2
    const middle = (t0 + t1) / 2
    let sum = 0
    for (let k = 0; k < 5; k++) sum += weights[k]! * speed(middle + half * nodes[k]!, span)
    return sum * half
  }

  const count = (n - 1) * pieces + 1
  const fineT = new Float64Array(count)
  const fineX = new Float64Array(count)
  const fineY = new Float64Array(count)
  const fineS = new Float64Array(count)
  for (let k = 0; k < count; k++) {
    const span = Math.min(n - 2, Math.floor(k / pieces))
    fineT[k] = knots[span]! + ((knots[span + 1]! - knots[span]!) * (k - span * pieces)) / pieces
    evaluate(fineT[k]!, span)
    fineX[k] = here[0]!
    fineY[k] = here[1]!
    if (k > 0) fineS[k] = fineS[k - 1]! + lengthBetween(fineT[k - 1]!, fineT[k]!, Math.floor((k - 1) / pieces))
  }
  const length = fineS[count - 1]!
  const last = knots[n - 1]!

  const place = (t: number, span: number, from: number, x: number, y: number, out: Float64Array) => {
    evaluate(t, span)
    const v = maths.hypot(here[2]!, here[3]!)
    const ux = here[2]! / v
    const uy = here[3]! / v
    const px = x - here[0]!
    const py = y - here[1]!
    const beyond = px * ux + py * uy
    // Past an end the curve goes on straight.
    const extra = t <= 0 || t >= last ? beyond : 0
    out[1] = py * ux - px * uy
    out[2] = ux
    out[3] = uy
    out[0] = fineS[from]! + lengthBetween(fineT[from]!, t, span) + extra
  }

  return {
    length,
    project: (x, y, out) => {
      let nearest = Infinity
      let at = 0
      for (let k = 0; k < count; k++) {
        const gap = (x - fineX[k]!) ** 2 + (y - fineY[k]!) ** 2
        if (gap < nearest) {
          nearest = gap
          at = k
        }
      }
      let t = fineT[at]!
      let span = spanOf(t)
      for (let step = 0; step < 8; step++) {
        evaluate(t, span)
        const px = here[0]! - x
        const py = here[1]! - y
        const value = px * here[2]! + py * here[3]!
        const slope = here[2]! ** 2 + here[3]! ** 2 + px * here[4]! + py * here[5]!
        const limit = last / (n - 1) / 2
        const move = slope > 0 ? Math.max(-limit, Math.min(limit, value / slope)) : 0
        const next = Math.min(last, Math.max(0, t - move))
        const moved = Math.abs(next - t)
        t = next
        span = spanOf(t)
        if (moved < 1e-12 * last) break
      }
      let from = span * pieces
      while (from < span * pieces + pieces - 1 && fineT[from + 1]! <= t) from++
      place(t, span, from, x, y, out)
    },
    at: (s) => {
      let k = 0
      let high = count - 1
      while (high - k > 1) {
        const middle = (k + high) >> 1
        if (fineS[middle]! <= s) k = middle
        else high = middle
      }
      const span = Math.min(n - 2, Math.floor(k / pieces))
      const inside = Math.min(length, Math.max(0, s))
      let t = fineT[k]! + ((fineT[k + 1]! - fineT[k]!) * (inside - fineS[k]!)) / (fineS[k + 1]! - fineS[k]!)
      t -= (fineS[k]! + lengthBetween(fineT[k]!, t, span) - inside) / speed(t, span)
      evaluate(t, span)
      const v = maths.hypot(here[2]!, here[3]!)
      const dx = here[2]! / v
      const dy = here[3]! / v
      return { x: here[0]! + (s - inside) * dx, y: here[1]! + (s - inside) * dy, dx, dy }
    },
  }
}

function hermite(q: number, h: number, a: number, b: number, ma: number, mb: number, out: Float64Array, axis: 0 | 1) {
  const c2 = 3 * (b - a) - h * (2 * ma + mb)
  const c3 = 2 * (a - b) + h * (ma + mb)
  out[axis] = a + q * (h * ma + q * (c2 + q * c3))
  out[axis + 2] = (h * ma + q * (2 * c2 + q * 3 * c3)) / h
  out[axis + 4] = (2 * c2 + q * 6 * c3) / (h * h)
}
