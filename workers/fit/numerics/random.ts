import * as maths from '../../elementary/maths.ts'

/** A seeded source of random numbers. The same seed gives the same numbers on every machine. */
export interface Random {
  /** 32 random bits as an unsigned integer. */
  bits(): number
  /** Uniform in [0, 1), 53 bits. */
  uniform(): number
  /** Uniform in [low, high). */
  between(low: number, high: number): number
  /** Standard normal. */
  normal(): number
  /** A whole number in [0, count). */
  below(count: number): number
  /** An independent source derived from this one; the label tells several apart. */
  fork(label?: number): Random
}

/** xoshiro128** of Blackman & Vigna (ACM Trans. Math. Softw. 47 (2021) 36), its state filled by splitmix32. */
export function seededRandom(seed: number): Random {
  let mix = seed >>> 0
  const next = (): number => {
    mix = (mix + 0x9e3779b9) >>> 0
    let z = mix
    z = Math.imul(z ^ (z >>> 16), 0x85ebca6b)
    z = Math.imul(z ^ (z >>> 13), 0xc2b2ae35)
    return (z ^ (z >>> 16)) >>> 0
  }
  return randomFromState([next(), next(), next(), next()])
}

/** The generator from four words of state, not all 0. */
export function randomFromState(state: readonly [number, number, number, number]): Random {
  let [a, b, c, d] = state
  if ((a | b | c | d) === 0) throw new RangeError('A state of zeros stays at zero.')
  let spare: number | null = null

  const bits = (): number => {
    const result = Math.imul(rotate(Math.imul(b, 5), 7), 9) >>> 0
    const shifted = b << 9
    c ^= a
    d ^= b
    b ^= c
    a ^= d
    c ^= shifted
    d = rotate(d, 11)
    return result
  }
  const uniform = (): number => ((bits() >>> 5) * 67108864 + (bits() >>> 6)) / 9007199254740992
  const random: Random = {
    bits,
    uniform,
    between: (low, high) => low + (high - low) * uniform(),
    normal() {
      if (spare !== null) {
        const kept = spare
        spare = null
        return kept
      }
      // Marsaglia's polar method, SIAM Review 6 (1964) 260–264.
      for (;;) {
        const u = 2 * uniform() - 1
        const v = 2 * uniform() - 1
        const s = u * u + v * v
        if (s >= 1 || s === 0) continue
        const factor = Math.sqrt((-2 * maths.log(s)) / s)
        spare = v * factor
        return u * factor
      }
    },
    below: (count) => Math.floor(uniform() * count),
    fork: (label = 0) => seededRandom((bits() ^ Math.imul(label + 1, 0x9e3779b1)) >>> 0),
  }
  return random
}

function rotate(x: number, by: number): number {
  return (x << by) | (x >>> (32 - by))
}
