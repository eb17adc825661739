/** A seeded source of numbers, so that a scene rendered twice is the same scene. */
export interface Random {
  /** Uniform in [0, 1). */
  next(): number
  /** Normal with mean 0 and standard deviation 1. */
  gauss(): number
}

/** Mulberry32: 32 bits of state, a full period of 2³², good enough for pictures. Source: Tommy Ettinger, public domain. */
export function seeded(seed: number): Random {
  let state = seed >>> 0
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0
    let z = state
    z = Math.imul(z ^ (z >>> 15), z | 1)
    z ^= z + Math.imul(z ^ (z >>> 7), z | 61)
    return ((z ^ (z >>> 14)) >>> 0) / 4294967296
  }
  const gauss = (): number => {
    // Box–Muller; 1 − u keeps the logarithm finite.
    const radius = Math.sqrt(-2 * Math.log(1 - next()))
    return radius * Math.cos(2 * Math.PI * next())
  }
  return { next, gauss }
}

/** A seed made from a name, so that scenes differ without a table of numbers. FNV-1a, 32 bits. */
export function seedOf(name: string): number {
  let hash = 0x811c9dc5
  for (const character of name) hash = Math.imul(hash ^ character.charCodeAt(0), 0x01000193)
  return hash >>> 0
}

/** `count` normal numbers whose own mean is exactly 0 and whose own standard deviation (n − 1) is exactly 1:
 *  the scatter of a few runs is then the stated one and not a lucky draw. */
export function standardised(count: number, random: Random): number[] {
  const raw = Array.from({ length: count }, () => random.gauss())
  const mean = raw.reduce((sum, value) => sum + value, 0) / count
  const spread = Math.sqrt(raw.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (count - 1))
  return raw.map((value) => (value - mean) / spread)
}
