import { quickselect } from './robust.ts'

const BINS = 128
const counts = new Int32Array(BINS + 1)
let few = new Float64Array(256)

/** Upper median (entry n >> 1 in rising order) of the first n values, none negative, whose sum is given; the same number that
 *  `quickselect` yields, several times sooner, and the values keep their order. */
export function upperMedian(values: Float64Array, n: number, sum: number): number {
  const k = n >> 1
  // No more than half of the values can lie over twice their mean.
  const perBin = (BINS * n) / (2 * sum)
  if (!(perBin < 1e12)) return quickselect(values.slice(0, n), n, k)
  counts.fill(0)
  for (let i = 0; i < n; i++) {
    const bin = Math.min(BINS, values[i]! * perBin) | 0
    counts[bin] = counts[bin]! + 1
  }
  let below = 0
  let bin = 0
  while (below + counts[bin]! <= k) below += counts[bin++]!
  if (few.length < n) few = new Float64Array(n)
  let m = 0
  for (let i = 0; i < n; i++) {
    const value = values[i]!
    if ((Math.min(BINS, value * perBin) | 0) === bin) few[m++] = value
  }
  return quickselect(few, m, k - below)
}
