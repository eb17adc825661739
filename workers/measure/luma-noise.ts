import type { LumaPatch } from './luma-patch.ts'

/** Standard deviation of white noise, robust, from what neither rows nor columns explain. */
export function noiseOf(patch: LumaPatch): number {
  const rest: number[] = []
  for (let j = 0; j + 1 < patch.height; j++)
    for (let i = 0; i + 1 < patch.width; i++) {
      const at = j * patch.width + i
      const [a, b] = [patch.luma[at]!, patch.luma[at + 1]!]
      const [c, d] = [patch.luma[at + patch.width]!, patch.luma[at + patch.width + 1]!]
      rest.push(Math.abs(a - b - c + d))
    }
  rest.sort((p, q) => p - q)
  // 1.4826: normal σ over the median of the absolute value; four pixels take part. 0.3: rounding to whole grey levels.
  return Math.max(0.3, (1.4826 * (rest[rest.length >> 1] ?? 0)) / 2)
}
