export type InventedReading =
  /** The moving picture changes alike from frame to frame. */
  | { readonly kind: 'looks-real' }
  /** Every `every`th frame was filmed; the frames between repeat it. */
  | { readonly kind: 'repeats'; readonly every: number; readonly firstReal: number; readonly strength: number }
  /** Every `every`th frame was filmed; those between were made from its neighbours. */
  | { readonly kind: 'invented'; readonly every: number; readonly firstReal: number; readonly strength: number }
  | { readonly kind: 'cannot-tell'; readonly frames: number; readonly need: number }

const mostEvery = 10
const fewestPeriods = 5
/** Beats of compression (groups of pictures, frames predicted both ways) stay below this ratio. */
const strong = 2.5

/**
 * Recognises frames that were not filmed, from how the moving part of the picture changes. `first[i]`: mean |frame i − frame i−1|; `second[i]`: mean
 * |frame i+1 − 2·frame i + frame i−1|, both where something moves, index 0 and, for `second`, the last are not used; `noise`: what `first` is where nothing moves.
 * Repeats give steps of nothing; a frame blended from its neighbours has no second difference, the filmed ones between have all of it.
 * What was made by moving parts of the picture along may look as real as filmed frames do: "looks real" is no proof.
 */
export function readInvented(first: readonly number[], second: readonly number[], noise: number): InventedReading {
  const n = first.length
  const need = 2 * fewestPeriods + 2
  if (n < need) return { kind: 'cannot-tell', frames: n, need }
  const steps = first.map((value) => Math.max(0, value - noise))
  // √6/√2: a second difference of white noise against a first one.
  const bends = second.map((value) => Math.max(0, value - Math.sqrt(3) * noise))
  const moving = median(steps.slice(1))
  const still = steps.slice(1).every((step) => step < noise * 0.5)
  if (still && !(moving > 0)) return { kind: 'cannot-tell', frames: 0, need }
  const repeat = beat(steps, 1, n)
  if (repeat && repeat.strength >= strong && repeat.low < 0.25 * repeat.high)
    return { kind: 'repeats', every: repeat.every, firstReal: repeat.phase, strength: repeat.strength }
  const bend = beat(bends, 1, n - 1)
  if (bend && bend.strength >= strong)
    return { kind: 'invented', every: bend.every, firstReal: bend.phase, strength: bend.strength }
  return { kind: 'looks-real' }
}

/** The period at which one phase stands out above all others in nearly every period. */
function beat(series: readonly number[], from: number, to: number) {
  let best: { every: number; phase: number; strength: number; low: number; high: number } | undefined
  for (let every = 2; every <= mostEvery && (to - from) / every >= fewestPeriods; every++) {
    for (let phase = 0; phase < every; phase++) {
      const on: number[] = []
      const off: number[] = []
      for (let i = from; i < to; i++) (i % every === phase ? on : off).push(series[i]!)
      const high = median(on)
      const low = median(off)
      // Nine in ten peaks above nine in ten of the rest: a beat, not a few jolts.
      if (!(quantile(on, 0.1) > quantile(off, 0.9))) continue
      const strength = high / Math.max(low, high * 1e-3)
      if (!best || strength > best.strength * 1.05) best = { every, phase, strength, low, high }
    }
  }
  return best
}

function quantile(values: readonly number[], part: number): number {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted[Math.min(sorted.length - 1, Math.floor(part * sorted.length))]!
}

const median = (values: readonly number[]) => quantile(values, 0.5)
