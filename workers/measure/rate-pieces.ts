import type { RatePiece } from '../record/index.ts'

export type PiecesProposal =
  /** One interval all along, apart from single gaps: nothing to cut. */
  | { readonly kind: 'one-rate' }
  | {
      readonly kind: 'pieces'
      readonly pieces: readonly RatePiece[]
      /** Frames per second of the file in each piece, and how many times the footage was slowed there (1: real time). */
      readonly file: readonly { readonly rate_hz: number; readonly slowed: number }[]
    }

/** A stretch shorter than this is a hiccup, not a piece. */
const shortest = 8
/** Neighbouring pieces differ by more than this factor. */
const different = 1.5
/** The quartz of a camera holds its rate to 0.1 %: limits, over √3 (common practice, no source). */
const quartz = 0.001 / Math.sqrt(3)

/**
 * Cuts a clip where its file interval changes for good: slow motion that a phone baked in by stretching timestamps. The camera filmed on at one rate,
 * so the proposal is that rate for every piece: the filming-rate tag where the file has one, else the highest file rate, where the footage stands in
 * real time. Pieces whose file rates are no whole multiples of one another (a phone that films slower in the dark) are left as they are timed.
 */
export function proposePieces(ticks: ArrayLike<number>, timescale: number, tag_hz: number | null): PiecesProposal {
  const n = ticks.length
  if (n < 2 * shortest + 1) return { kind: 'one-rate' }
  const cuts = cutPoints(ticks)
  if (cuts.length === 1) return { kind: 'one-rate' }
  const ends = [...cuts.slice(1), n - 1]
  const file = cuts.map((from, i) => {
    const steps = Array.from({ length: ends[i]! - from }, (_, k) => ticks[from + k + 1]! - ticks[from + k]!)
    const middle = median(steps)
    // Mean of the usual intervals: finer than the median where ticks are coarse.
    const usual = steps.filter((step) => step < 1.5 * middle && step > middle / 1.5)
    const mean = usual.reduce((sum, step) => sum + step, 0) / usual.length
    const scatter = Math.sqrt(usual.reduce((sum, step) => sum + (step - mean) ** 2, 0) / usual.length)
    return { rate_hz: timescale / mean, uRelative: scatter / mean / Math.sqrt(usual.length) }
  })
  const filmed_hz = tag_hz ?? Math.max(...file.map((piece) => piece.rate_hz))
  const factors = file.map((piece) => filmed_hz / piece.rate_hz)
  const baked = factors.every(
    (factor) => factor > 0.95 && Math.abs(factor / Math.max(1, Math.round(factor)) - 1) < 0.05,
  )
  return {
    kind: 'pieces',
    pieces: cuts.map((fromFrame, i) => ({
      fromFrame,
      fromTicks: ticks[fromFrame]!,
      rate_hz: baked ? filmed_hz : file[i]!.rate_hz,
      uRelative: Math.max(quartz, file[i]!.uRelative),
    })),
    file: file.map((piece, i) => ({ rate_hz: piece.rate_hz, slowed: baked ? Math.round(factors[i]!) : 1 })),
  }
}

/** First frames of the pieces, the first being 0. */
function cutPoints(ticks: ArrayLike<number>): number[] {
  const n = ticks.length
  const steps = Array.from({ length: n - 1 }, (_, i) => ticks[i + 1]! - ticks[i]!)
  const cuts = [0]
  let level = median(steps.slice(0, shortest))
  for (let i = 0; i < steps.length; i++) {
    if (Math.max(steps[i]! / level, level / steps[i]!) < different) continue
    const ahead = steps.slice(i, i + shortest)
    if (ahead.length < shortest) break
    const next = median(ahead)
    const lasting = ahead.filter((step) => Math.max(step / next, next / step) < different).length
    if (lasting < shortest - 1 || Math.max(next / level, level / next) < different) continue
    cuts.push(i)
    level = next
  }
  return cuts
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted[sorted.length >> 1]!
}
