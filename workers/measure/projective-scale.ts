import * as maths from '../elementary/maths.ts'
import { solveLeastSquares } from './least-squares-small.ts'

/** s(u) = (a·u + b)/(1 + c·u) about a middle: how lengths along a straight lane appear in a picture taken aslant. */
export interface ProjectiveScale {
  readonly at: (u: number) => number
  /** ds/du. */
  readonly slopeAt: (u: number) => number
  /** u of a given s. */
  readonly inverse: (s: number) => number
  /** Positive where the place is in front of the camera. */
  readonly weightAt: (u: number) => number
}

/**
 * The 1-D projectivity through three or more (u, s), least squares of the s residuals over `sigma`. Undefined where they do not determine one.
 * Source: Hartley & Zisserman, Multiple View Geometry, 2.5 (projective geometry of 1D).
 */
export function projectiveScale(
  u: readonly number[],
  s: readonly number[],
  sigma?: readonly number[],
): ProjectiveScale | undefined {
  const n = u.length
  if (n < 3) return undefined
  const mu = u.reduce((sum, x) => sum + x, 0) / n
  const ms = s.reduce((sum, x) => sum + x, 0) / n
  const ku = Math.max(...u.map((x) => Math.abs(x - mu)))
  const ks = Math.max(...s.map((x) => Math.abs(x - ms)))
  if (!(ku > 0 && ks > 0)) return undefined
  const p = u.map((x) => (x - mu) / ku)
  const q = s.map((x) => (x - ms) / ks)
  const w = (sigma ?? s.map(() => 1)).map((x) => 1 / x)
  const mean = w.reduce((sum, x) => sum + x, 0) / n
  const rows = new Float64Array(3 * n)
  const right = new Float64Array(n)
  for (let i = 0; i < n; i++) {
    const k = w[i]! / mean
    rows.set([k * p[i]!, k, -k * p[i]! * q[i]!], 3 * i)
    right[i] = k * q[i]!
  }
  let x = solveLeastSquares(rows, right, n, 3)
  if (!x) return undefined
  for (let step = 0; step < 12 && n > 3; step++) {
    const jacobian = new Float64Array(3 * n)
    const rest = new Float64Array(n)
    for (let i = 0; i < n; i++) {
      const k = w[i]! / mean
      const d = 1 + x[2]! * p[i]!
      const value = (x[0]! * p[i]! + x[1]!) / d
      jacobian.set([(k * p[i]!) / d, k / d, (-k * value * p[i]!) / d], 3 * i)
      rest[i] = k * (q[i]! - value)
    }
    const change = solveLeastSquares(jacobian, rest, n, 3)
    if (!change) return undefined
    x = x.map((value, k) => value + change[k]!)
    if (maths.norm(change) < 1e-14) break
  }
  const [a, b, c] = [x[0]!, x[1]!, x[2]!]
  // Rising or falling, never flat: a − b·c is the determinant.
  const determinant = a - b * c
  if (!(Math.abs(determinant) > 1e-9) || ![a, b, c].every(Number.isFinite)) return undefined
  return {
    at: (value) => {
      const t = (value - mu) / ku
      return ms + (ks * (a * t + b)) / (1 + c * t)
    },
    slopeAt: (value) => {
      const d = 1 + (c * (value - mu)) / ku
      return (ks * determinant) / (ku * d * d)
    },
    inverse: (value) => {
      const t = (value - ms) / ks
      return mu + (ku * (t - b)) / (a - c * t)
    },
    weightAt: (value) => 1 + (c * (value - mu)) / ku,
  }
}
