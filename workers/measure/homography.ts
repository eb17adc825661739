import * as maths from '../elementary/maths.ts'
import { solveLeastSquares } from './least-squares-small.ts'

/** A projective map of the plane, row by row: (x, y) → ((h0 x + h1 y + h2)/w, (h3 x + h4 y + h5)/w), w = h6 x + h7 y + h8. */
export type Homography = Float64Array

export interface Point {
  readonly x: number
  readonly y: number
}

export function applyHomography(h: Homography, x: number, y: number): { x: number; y: number } {
  const w = h[6]! * x + h[7]! * y + h[8]!
  return { x: (h[0]! * x + h[1]! * y + h[2]!) / w, y: (h[3]! * x + h[4]! * y + h[5]!) / w }
}

/** Derivatives of the map at (x, y): [∂X/∂x, ∂X/∂y, ∂Y/∂x, ∂Y/∂y]. */
export function jacobianOf(h: Homography, x: number, y: number): readonly [number, number, number, number] {
  const w = h[6]! * x + h[7]! * y + h[8]!
  const X = (h[0]! * x + h[1]! * y + h[2]!) / w
  const Y = (h[3]! * x + h[4]! * y + h[5]!) / w
  return [(h[0]! - X * h[6]!) / w, (h[1]! - X * h[7]!) / w, (h[3]! - Y * h[6]!) / w, (h[4]! - Y * h[7]!) / w]
}

/** The inverse map; undefined where the map folds the plane onto a line. */
export function invertHomography(h: Homography): Homography | undefined {
  const [a, b, c, d, e, f, g, i, j] = h as unknown as readonly [
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
  ]
  const A = e * j - f * i
  const B = f * g - d * j
  const C = d * i - e * g
  const determinant = a * A + b * B + c * C
  if (!(Math.abs(determinant) > 0) || !Number.isFinite(determinant)) return undefined
  return Float64Array.of(
    A,
    c * i - b * j,
    b * f - c * e,
    B,
    a * j - c * g,
    c * d - a * f,
    C,
    b * g - a * i,
    a * e - b * d,
  ).map((value) => value / determinant)
}

export function multiplyHomographies(p: Homography, q: Homography): Homography {
  const product = new Float64Array(9)
  for (let r = 0; r < 3; r++)
    for (let c = 0; c < 3; c++)
      product[3 * r + c] = p[3 * r]! * q[c]! + p[3 * r + 1]! * q[3 + c]! + p[3 * r + 2]! * q[6 + c]!
  return product
}

/**
 * The projective map that takes `from` to `to`, from four or more pairs: direct linear solution in normalised coordinates, then Gauss–Newton
 * on the distances in `to`, so that more than four pairs are fitted where the noise is. Undefined where the points do not determine a map.
 * Source: Hartley & Zisserman, Multiple View Geometry, algorithm 4.2 (normalised DLT) and 4.3 (refinement).
 */
export function homographyFrom(from: readonly Point[], to: readonly Point[]): Homography | undefined {
  const n = from.length
  if (n < 4 || to.length !== n) return undefined
  const p = normalise(from)
  const q = normalise(to)
  if (!p || !q) return undefined
  let h = direct(p.points, q.points)
  if (!h) return undefined
  if (n > 4) h = refined(h, p.points, q.points)
  const inner = multiplyHomographies(h, p.into)
  return multiplyHomographies(q.back, inner)
}

function normalise(points: readonly Point[]) {
  let mx = 0
  let my = 0
  for (const { x, y } of points) {
    mx += x / points.length
    my += y / points.length
  }
  let spread = 0
  for (const { x, y } of points) spread += maths.hypot(x - mx, y - my) / points.length
  if (!(spread > 0) || !Number.isFinite(spread)) return undefined
  const k = Math.SQRT2 / spread
  return {
    points: points.map(({ x, y }) => ({ x: (x - mx) * k, y: (y - my) * k })),
    into: Float64Array.of(k, 0, -k * mx, 0, k, -k * my, 0, 0, 1),
    back: Float64Array.of(1 / k, 0, mx, 0, 1 / k, my, 0, 0, 1),
  }
}

/** With h8 = 1: in normalised coordinates the centroid lies in view, so its w is not 0. */
function direct(from: readonly Point[], to: readonly Point[]): Homography | undefined {
  const a = new Float64Array(16 * from.length)
  const b = new Float64Array(2 * from.length)
  for (const [i, p] of from.entries()) {
    const q = to[i]!
    a.set([p.x, p.y, 1, 0, 0, 0, -q.x * p.x, -q.x * p.y], 16 * i)
    a.set([0, 0, 0, p.x, p.y, 1, -q.y * p.x, -q.y * p.y], 16 * i + 8)
    b[2 * i] = q.x
    b[2 * i + 1] = q.y
  }
  const solved = solveLeastSquares(a, b, 2 * from.length, 8)
  return solved && Float64Array.of(...solved, 1)
}

function refined(start: Homography, from: readonly Point[], to: readonly Point[]): Homography {
  let h = start
  let best = misfit(h, from, to)
  for (let step = 0; step < 12; step++) {
    const a = new Float64Array(16 * from.length)
    const b = new Float64Array(2 * from.length)
    for (const [i, p] of from.entries()) {
      const w = h[6]! * p.x + h[7]! * p.y + h[8]!
      const at = applyHomography(h, p.x, p.y)
      const [u, v, one] = [p.x / w, p.y / w, 1 / w]
      a.set([u, v, one, 0, 0, 0, -at.x * u, -at.x * v], 16 * i)
      a.set([0, 0, 0, u, v, one, -at.y * u, -at.y * v], 16 * i + 8)
      b[2 * i] = to[i]!.x - at.x
      b[2 * i + 1] = to[i]!.y - at.y
    }
    const change = solveLeastSquares(a, b, 2 * from.length, 8)
    if (!change) return h
    const next = h.slice()
    for (let k = 0; k < 8; k++) next[k] = h[k]! + change[k]!
    const now = misfit(next, from, to)
    if (!(now < best)) return h
    const done = best - now <= 1e-15 * best
    h = next
    best = now
    if (done) return h
  }
  return h
}

function misfit(h: Homography, from: readonly Point[], to: readonly Point[]): number {
  let sum = 0
  for (const [i, p] of from.entries()) {
    const at = applyHomography(h, p.x, p.y)
    sum += (at.x - to[i]!.x) ** 2 + (at.y - to[i]!.y) ** 2
  }
  return sum
}
