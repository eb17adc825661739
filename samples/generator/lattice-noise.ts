/** Smooth noise over space: random values on a lattice, blended. The grain of wood, the mottle of a wall. */

function latticeValue(x: number, y: number, z: number, seed: number): number {
  let h = Math.imul(x, 0x27d4eb2d) ^ Math.imul(y, 0x165667b1) ^ Math.imul(z, 0x1b873593) ^ Math.imul(seed, 0x9e3779b1)
  h = Math.imul(h ^ (h >>> 15), 0x85ebca6b)
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35)
  return ((h ^ (h >>> 16)) >>> 0) / 4294967296
}

const ease = (f: number): number => f * f * (3 - 2 * f)

/** Value noise in [0, 1] at a point of space; one lattice cell has the size 1. */
export function noise3(x: number, y: number, z: number, seed: number): number {
  const xi = Math.floor(x)
  const yi = Math.floor(y)
  const zi = Math.floor(z)
  const fx = ease(x - xi)
  const fy = ease(y - yi)
  const fz = ease(z - zi)
  // Written out: a helper made anew on each call would cost more than the noise itself.
  const a0 = latticeValue(xi, yi, zi, seed)
  const a1 = latticeValue(xi + 1, yi, zi, seed)
  const b0 = latticeValue(xi, yi + 1, zi, seed)
  const b1 = latticeValue(xi + 1, yi + 1, zi, seed)
  const c0 = latticeValue(xi, yi, zi + 1, seed)
  const c1 = latticeValue(xi + 1, yi, zi + 1, seed)
  const d0 = latticeValue(xi, yi + 1, zi + 1, seed)
  const d1 = latticeValue(xi + 1, yi + 1, zi + 1, seed)
  const a = a0 + (a1 - a0) * fx
  const b = b0 + (b1 - b0) * fx
  const c = c0 + (c1 - c0) * fx
  const d = d0 + (d1 - d0) * fx
  const front = a + (b - a) * fy
  return front + (c + (d - c) * fy - front) * fz
}

/** Three octaves of `noise3`, in [0, 1]. */
export function cloud3(x: number, y: number, z: number, seed: number): number {
  return (
    (noise3(x, y, z, seed) +
      0.5 * noise3(2.03 * x, 2.03 * y, 2.03 * z, seed + 1) +
      0.25 * noise3(4.1 * x, 4.1 * y, 4.1 * z, seed + 2)) /
    1.75
  )
}
