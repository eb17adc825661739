import { projectiveScale } from './projective-scale.ts'

/** From pixels along a lane line to metres along the lane. */
export interface TapeScale {
  readonly at: (u: number) => number
  readonly slopeAt: (u: number) => number
  /** Positive where the place is in front of the camera; absent where the map has no horizon. */
  readonly weightAt?: (u: number) => number
}

/**
 * A smooth rising map through the ticks of a bent lane: in each stretch the projectivities through the three ticks around either end, blended
 * from one to the other, so that it is exact where the lane is straight. `bend` (in standard uncertainties) moves it by half of what the two
 * disagree: 0 at every tick, greatest between distant ones. Where the blend would not rise, the stretch falls back to a monotone cubic.
 * `u` and `s` rise. Source of the cubic: Fritsch & Carlson, "Monotone piecewise cubic interpolation", 1980.
 */
export function bentTapeScale(u: readonly number[], s: readonly number[], bend: number): TapeScale | undefined {
  const n = u.length
  const local = Array.from({ length: n - 2 }, (_, i) => projectiveScale(u.slice(i, i + 3), s.slice(i, i + 3)))
  if (local.some((scale) => !scale)) return undefined
  const cubic = monotoneCubic(u, s)
  const stretchOf = (x: number) => {
    let i = 0
    while (i < n - 2 && u[i + 1]! <= x) i++
    return i
  }
  const raw = (x: number, i: number) => {
    const before = local[Math.max(0, i - 1)]!.at(x)
    const after = local[Math.min(n - 3, i)]!.at(x)
    const q = Math.min(1, Math.max(0, (x - u[i]!) / (u[i + 1]! - u[i]!)))
    const value = before + q * (after - before)
    // An end stretch has one projectivity only; what it could be off by is told by the cubic.
    const other = i > 0 && i < n - 2 ? (after - before) / 2 : (cubic(x, i) - value) / 2
    return { value, other }
  }
  const rises = Array.from({ length: n - 1 }, (_, i) => {
    let last = -Infinity
    for (let k = 0; k <= 16; k++) {
      const { value } = raw(u[i]! + ((u[i + 1]! - u[i]!) * k) / 16, i)
      if (!(value > last)) return false
      last = value
    }
    return true
  })
  const at = (x: number) => {
    const i = stretchOf(x)
    const { value, other } = raw(x, i)
    const inside = x > u[0]! && x < u[n - 1]!
    const base = rises[i] || !inside ? value : cubic(x, i)
    return bend === 0 || !inside ? base : base + bend * other
  }
  return {
    at,
    slopeAt: (x) => {
      const h = (u[n - 1]! - u[0]!) * 1e-5
      return (at(x + h) - at(x - h)) / (2 * h)
    },
  }
}

function monotoneCubic(u: readonly number[], s: readonly number[]): (x: number, stretch: number) => number {
  const n = u.length
  const h = Array.from({ length: n - 1 }, (_, i) => u[i + 1]! - u[i]!)
  const d = h.map((step, i) => (s[i + 1]! - s[i]!) / step)
  const m = s.map((_, i) => {
    if (i === 0) return d[0]!
    if (i === n - 1) return d[n - 2]!
    // Harmonic mean weighted by the stretches: never steeper than three times the lesser side.
    const w1 = 2 * h[i]! + h[i - 1]!
    const w2 = h[i]! + 2 * h[i - 1]!
    return (w1 + w2) / (w1 / d[i - 1]! + w2 / d[i]!)
  })
  return (x, i) => {
    const step = h[i]!
    const q = (x - u[i]!) / step
    const c2 = 3 * (s[i + 1]! - s[i]!) - step * (2 * m[i]! + m[i + 1]!)
    const c3 = 2 * (s[i]! - s[i + 1]!) + step * (m[i]! + m[i + 1]!)
    return s[i]! + q * (step * m[i]! + q * (c2 + q * c3))
  }
}
