/** The place in [low, high] where `f` changes sign, by Brent's method, to within `tolerance` relative to its size.
 *
 *  Throws when f has the same sign at both ends: callers bracket first.
 *  Source: R. P. Brent, Algorithms for Minimization without Derivatives (1973), chapter 4. */
export function bracketedRoot(f: (x: number) => number, low: number, high: number, tolerance = 1e-15): number {
  let a = low
  let b = high
  let fa = f(a)
  let fb = f(b)
  if (fa === 0) return a
  if (fb === 0) return b
  if (fa > 0 === fb > 0 || Number.isNaN(fa) || Number.isNaN(fb))
    throw new RangeError(`No change of sign between ${low} (${fa}) and ${high} (${fb}).`)
  let c = a
  let fc = fa
  let step = b - a
  let last = step
  for (let n = 0; n < 300; n++) {
    if (fb > 0 === fc > 0) {
      c = a
      fc = fa
      step = last = b - a
    }
    if (Math.abs(fc) < Math.abs(fb)) {
      a = b
      b = c
      c = a
      fa = fb
      fb = fc
      fc = fa
    }
    const close = 2 * Number.EPSILON * Math.abs(b) + 0.5 * tolerance * Math.max(Math.abs(b), 1e-300)
    const half = (c - b) / 2
    if (Math.abs(half) <= close || fb === 0) return b
    if (Math.abs(last) >= close && Math.abs(fa) > Math.abs(fb)) {
      const s = fb / fa
      let p: number
      let q: number
      if (a === c) {
        p = 2 * half * s
        q = 1 - s
      } else {
        const r = fb / fc
        const t = fa / fc
        p = s * (2 * half * t * (t - r) - (b - a) * (r - 1))
        q = (t - 1) * (r - 1) * (s - 1)
      }
      if (p > 0) q = -q
      p = Math.abs(p)
      if (2 * p < Math.min(3 * half * q - Math.abs(close * q), Math.abs(last * q))) {
        last = step
        step = p / q
      } else {
        step = half
        last = half
      }
    } else {
      step = half
      last = half
    }
    a = b
    fa = fb
    b += Math.abs(step) > close ? step : half > 0 ? close : -close
    fb = f(b)
  }
  return b
}

/** The root of a rising or falling `f` on the whole line: steps out from `start` by doubling, then brackets. */
export function monotoneRoot(f: (x: number) => number, start: number, firstStep: number): number {
  const f0 = f(start)
  if (f0 === 0) return start
  for (let step = firstStep, n = 0; n < 200; step *= 2, n++) {
    for (const side of [start + step, start - step]) {
      const value = f(side)
      if (value === 0 || value > 0 !== f0 > 0) return bracketedRoot(f, Math.min(start, side), Math.max(start, side))
    }
  }
  throw new RangeError(`No change of sign around ${start}.`)
}
