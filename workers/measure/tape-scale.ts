import { splineSlopes } from './cubic-spline.ts'
import { projectiveScale } from './projective-scale.ts'

/** From pixels along a lane line to metres along the lane. */
export interface TapeScale {
  readonly at: (u: number) => number
  readonly slopeAt: (u: number) => number
  /** Positive where the place is in front of the camera; absent where the map has no horizon. */
  readonly weightAt?: (u: number) => number
}

/**
 * A smooth rising map through the ticks of a bent lane. Pixels as a function of metres are the smooth thing (a lane that runs off into the depth
 * crowds its millimetres, never the other way round), so they are splined and the spline is turned round. Where the spline would not rise, a monotone
 * cubic takes its place. Beyond the end ticks the map goes on straight.
 * What the map may be off between ticks: what it and another method, blended projectivities through three neighbouring ticks each, disagree about:
 * 0 at every tick, greatest between distant ones and beyond the last. `bend`, in standard uncertainties, moves the map by that. `u` and `s` rise.
 */
export function bentTapeScale(u: readonly number[], s: readonly number[], bend: number): TapeScale | undefined {
  const n = u.length
  const curve = risingCubic(s, u)
  const other = bend === 0 ? undefined : n === 3 ? unseenCubic(u, s, curve.inverse) : blendedProjectivities(u, s)
  if (bend !== 0 && !other) return undefined
  const at = (x: number) => {
    const value = curve.inverse(x)
    if (!other) return value
    if (x > u[0]! && x < u[n - 1]!) return value + bend * (other(x) - value)
    return value + bend * beyond(x, value)
  }
  /** Past an end tick: the greater of what a projectivity and what a steady bend would have, and never more than all of the way past it. */
  const beyond = (x: number, value: number) => {
    const most = Math.abs(value - (x <= u[0]! ? s[0]! : s[n - 1]!))
    const offs = [other!(x) - value, curve.bentInverse(x) - value].map((off) =>
      Number.isFinite(off) ? Math.max(-most, Math.min(most, off)) : most,
    )
    return offs.reduce((greater, off) => (Math.abs(off) > Math.abs(greater) ? off : greater))
  }
  return {
    at,
    slopeAt: (x) => {
      if (!other) return 1 / curve.slopeAt(curve.inverse(x))
      const h = (u[n - 1]! - u[0]!) * 1e-5
      return (at(x + h) - at(x - h)) / (2 * h)
    },
  }
}

/** y(t) through the knots, rising, and its inverse. */
function risingCubic(t: readonly number[], y: readonly number[]) {
  const n = t.length
  const smooth = splineSlopes(Float64Array.from(t), Float64Array.from(y))
  const h = Array.from({ length: n - 1 }, (_, i) => t[i + 1]! - t[i]!)
  const secant = h.map((step, i) => (y[i + 1]! - y[i]!) / step)
  // Sufficient for a rising cubic piece: both end slopes positive and within three times the secant. Source: Fritsch & Carlson, 1980.
  const rises = secant.every((d, i) => {
    const [a, b] = [smooth[i]! / d, smooth[i + 1]! / d]
    return a > 0 && b > 0 && (a <= 3 && b <= 3 ? true : a * a + b * b <= 9)
  })
  const slopes = rises ? smooth : monotoneSlopes(h, secant)
  const piece = (i: number, q: number) => {
    const step = h[i]!
    const c2 = 3 * (y[i + 1]! - y[i]!) - step * (2 * slopes[i]! + slopes[i + 1]!)
    const c3 = 2 * (y[i]! - y[i + 1]!) + step * (slopes[i]! + slopes[i + 1]!)
    return {
      value: y[i]! + q * (step * slopes[i]! + q * (c2 + q * c3)),
      slope: slopes[i]! + (q * (2 * c2 + q * 3 * c3)) / step,
    }
  }
  const last = n - 1
  /** Second derivative at either end, from inside. */
  const bendOf = (i: number, q: 0 | 1) => {
    const step = h[i]!
    const c2 = 3 * (y[i + 1]! - y[i]!) - step * (2 * slopes[i]! + slopes[i + 1]!)
    const c3 = 2 * (y[i]! - y[i + 1]!) + step * (slopes[i]! + slopes[i + 1]!)
    return (2 * c2 + 6 * c3 * q) / (step * step)
  }
  return {
    /** Beyond an end, going on with the bend it has there; NaN where that turns back. */
    bentInverse: (value: number) => {
      const first = value <= y[0]!
      const [t0, y0, m, k] = first
        ? [t[0]!, y[0]!, slopes[0]!, bendOf(0, 0)]
        : [t[last]!, y[last]!, slopes[last]!, bendOf(last - 1, 1)]
      return t0 + (2 * (value - y0)) / (m + Math.sqrt(m * m + 2 * k * (value - y0)))
    },
    slopeAt: (x: number) => {
      if (x <= t[0]!) return slopes[0]!
      if (x >= t[last]!) return slopes[last]!
      let i = 0
      while (i < n - 2 && t[i + 1]! <= x) i++
      return piece(i, (x - t[i]!) / h[i]!).slope
    },
    inverse: (value: number) => {
      if (value <= y[0]!) return t[0]! + (value - y[0]!) / slopes[0]!
      if (value >= y[last]!) return t[last]! + (value - y[last]!) / slopes[last]!
      let i = 0
      while (i < n - 2 && y[i + 1]! <= value) i++
      // Newton, kept between the places known to lie below and above.
      let low = 0
      let high = 1
      let q = (value - y[i]!) / (y[i + 1]! - y[i]!)
      for (let step = 0; step < 60; step++) {
        const here = piece(i, q)
        const off = here.value - value
        if (off > 0) high = q
        else low = q
        const next = q - off / (here.slope * h[i]!)
        const moved = next > low && next < high ? next : (low + high) / 2
        if (Math.abs(moved - q) < 1e-14) break
        q = moved
      }
      return t[i]! + q * h[i]!
    },
  }
}

/** Slopes that keep a cubic rising: harmonic means of neighbouring secants. Source: Fritsch & Butland, 1984. */
function monotoneSlopes(h: readonly number[], secant: readonly number[]): Float64Array {
  const n = h.length + 1
  return Float64Array.from({ length: n }, (_, i) => {
    if (i === 0) return secant[0]!
    if (i === n - 1) return secant[n - 2]!
    const w1 = 2 * h[i]! + h[i - 1]!
    const w2 = h[i]! + 2 * h[i - 1]!
    return (w1 + w2) / (w1 / secant[i - 1]! + w2 / secant[i]!)
  })
}

/**
 * Three ticks determine a parabola and a projectivity alike, which agree about what neither can know: a change of the bend. What it may be is taken
 * from the bend itself: a cubic through the ticks whose greatest departure between them is the parabola's from straight pieces. It grows fast beyond.
 */
function unseenCubic(u: readonly number[], s: readonly number[], inverse: (x: number) => number) {
  const cubic = (x: number) => (x - u[0]!) * (x - u[1]!) * (x - u[2]!)
  const straight = (x: number) => {
    const i = x < u[1]! ? 0 : 1
    return s[i]! + ((x - u[i]!) * (s[i + 1]! - s[i]!)) / (u[i + 1]! - u[i]!)
  }
  let [greatest, departure] = [0, 0]
  for (let k = 1; k < 40; k++) {
    const x = u[0]! + ((u[2]! - u[0]!) * k) / 40
    greatest = Math.max(greatest, Math.abs(cubic(x)))
    departure = Math.max(departure, Math.abs(straight(x) - inverse(x)))
  }
  return (x: number) => inverse(x) + (departure * cubic(x)) / greatest
}

/** In each stretch the projectivities through the three ticks around either end, blended from one to the other. */
function blendedProjectivities(u: readonly number[], s: readonly number[]): ((x: number) => number) | undefined {
  const n = u.length
  const local = Array.from({ length: n - 2 }, (_, i) => projectiveScale(u.slice(i, i + 3), s.slice(i, i + 3)))
  if (local.some((scale) => !scale)) return undefined
  return (x) => {
    let i = 0
    while (i < n - 2 && u[i + 1]! <= x) i++
    const before = local[Math.max(0, i - 1)]!.at(x)
    const after = local[Math.min(n - 3, i)]!.at(x)
    return before + ((x - u[i]!) / (u[i + 1]! - u[i]!)) * (after - before)
  }
}
