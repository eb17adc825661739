import type { BandChunk } from './band-store.ts'
import { BLOCK_COLUMNS } from './change-watch.ts'
import { quickselect, robustScatter } from './robust.ts'

/** The empty lane: luma of each cell of the strip on the 0 … 255 scale, and the temporal noise of one pixel. */
export interface Background {
  readonly level: Float32Array
  readonly noise: number
}

/** What a background was made from: a second one for the same chunk takes over the columns that see the same frames. */
export interface MadeBackground extends Background {
  /** Frames held whole, one after the other: 1 for each column that something covers. */
  readonly covered: Uint8Array
  readonly gain: Gain | undefined
  /** Scatter over time on the line, column by column; NaN where too few frames are clear. */
  readonly spread: Float64Array
}

/** Column intervals [from, to) that something other than the empty lane covers, per frame of the chunk. */
export type Coverage = readonly (readonly (readonly [from: number, to: number])[])[]

/** Brightness of a frame against the background: factor = a + b·(column − middle)/columns. */
export interface Gain {
  readonly at: Float64Array
  readonly slope: Float64Array
}

/** Fewer frames held whole than this say less about the empty lane than the chunk before, or the clip's first frames. */
const FEWEST_SAMPLES = 8

/** The empty lane on the probe rows for a first look: median over at most `most` of the frames held whole, spread over the
 *  chunk, laid out column by column. A ball that rests for half the chunk becomes part of it. */
export function medianProbes(chunk: BandChunk, most: number, previous: Background | undefined): Float32Array {
  const { samples, scale, probeRows, probeStep, probeColumns, firstLook, strip } = chunk
  if (samples.length < FEWEST_SAMPLES) {
    if (previous) return probesOf(chunk, previous.level)
    if (firstLook) return firstLook.slice()
  }
  const n = probeRows.length
  const taken = Math.min(samples.length, most)
  const picked = Array.from({ length: taken }, (_, i) => samples[Math.floor(((i + 0.5) * samples.length) / taken)]!)
  const values = new Float64Array(taken)
  const level = new Float32Array(probeColumns * n)
  for (let c = 0, at = 0; c < probeColumns; c++) {
    for (let i = 0; i < n; i++) {
      const cell = c * probeStep * strip.rows + probeRows[i]!
      for (let f = 0; f < taken; f++) values[f] = picked[f]![cell]!
      level[at++] = taken > 0 ? quickselect(values, taken, (taken - 1) >> 1) * scale : 0
    }
  }
  return level
}

/** The probe rows of a background known for all rows. */
export function probesOf(chunk: BandChunk, level: Float32Array): Float32Array {
  const { strip, probeRows, probeStep, probeColumns } = chunk
  const n = probeRows.length
  return Float32Array.from({ length: probeColumns * n }, (_, i) => {
    return level[Math.floor(i / n) * probeStep * strip.rows + probeRows[i % n]!]!
  })
}

const MOST_FRAMES = 40

/** Mean over the frames in which nothing covers a column (at most 40 of them, spread evenly), values further than 2.5 σ
 *  from a first mean left out. A column that is always covered keeps the level of the chunk before, or its median.
 *  Only the listed rows are filled. `before`: what an earlier look at the same chunk and rows gave. */
export function clearBackground(
  chunk: BandChunk,
  coverage: Coverage,
  rowList: readonly number[],
  previous: Background | undefined,
  gain: Gain | undefined,
  before?: MadeBackground,
): MadeBackground {
  const { strip, scale, samples, sampleFrames } = chunk
  const { rows, columns } = strip
  const covered = coveredColumns(
    sampleFrames.map((frame) => coverage[frame] ?? []),
    columns,
  )
  const level = new Float32Array(strip.source.length)
  const clear = new Int32Array(sampleFrames.length)
  const listed = Int32Array.from(rowList)
  // Row after row of one column, its values in the samples.
  const values = new Float64Array(MOST_FRAMES * listed.length)
  const lineAt = listed.indexOf(strip.lineRow)
  const spread = new Float64Array(columns).fill(NaN)
  const known = before && before.gain === gain ? before : undefined
  const always: number[] = []
  for (let c = 0; c < columns; c++) {
    let n = 0
    let same = known !== undefined
    for (let f = 0, at = c; f < sampleFrames.length; f++, at += columns) {
      if (covered[at] === 0) clear[n++] = f
      if (known && known.covered[at] !== covered[at]) same = false
    }
    if (n < 3) {
      always.push(c)
      continue
    }
    if (known && same) {
      for (let cell = c * rows, end = cell + rows; cell < end; cell++) level[cell] = known.level[cell]!
      spread[c] = known.spread[c]!
      continue
    }
    const taken = Math.min(n, MOST_FRAMES)
    for (let i = 0; i < taken; i++) {
      const sample = clear[Math.floor(((i + 0.5) * n) / taken)]!
      const from = samples[sample]!
      const factor = gain ? scale / gainAt(gain, sampleFrames[sample]!, c, columns) : scale
      for (let k = 0, at = i; k < listed.length; k++, at += MOST_FRAMES) {
        values[at] = from[c * rows + listed[k]!]! * factor
      }
    }
    for (let k = 0; k < listed.length; k++) {
      const first = k * MOST_FRAMES
      let sum = 0
      let square = 0
      for (let i = first, end = first + taken; i < end; i++) {
        const value = values[i]!
        sum += value
        square += value * value
      }
      const mean = sum / taken
      const variance = Math.max(0, square / taken - mean * mean)
      level[c * rows + listed[k]!] = variance < 1 ? mean : trimmedMean(values, first, taken, mean, Math.sqrt(variance))
      if (k === lineAt && taken > 8) spread[c] = Math.sqrt(variance)
    }
  }
  fillAlwaysCovered(chunk, level, always, rowList, previous)
  const sorted = spread.filter((value) => !Number.isNaN(value)).sort()
  // Values come in whole steps: rounding alone scatters by 1/√12 of one.
  const noise = Math.max(scale / Math.sqrt(12), sorted.length > 0 ? sorted[sorted.length >> 1]! : 1)
  return { level, noise, covered, gain, spread }
}

function coveredColumns(coverage: Coverage, columns: number): Uint8Array {
  const covered = new Uint8Array(coverage.length * columns)
  coverage.forEach((intervals, frame) => {
    for (const [from, to] of intervals) {
      covered.fill(1, frame * columns + Math.max(0, from), frame * columns + Math.max(0, Math.min(columns, to)))
    }
  })
  return covered
}

/** Mean of the `n` values from `first` without those further than 2.5 `spread` from `mean`. */
function trimmedMean(values: Float64Array, first: number, n: number, mean: number, spread: number): number {
  const reach = 2.5 * spread
  let sum = 0
  let count = 0
  for (let i = first; i < first + n; i++) {
    const value = values[i]!
    const off = value - mean
    if (off > reach || -off > reach) continue
    sum += value
    count++
  }
  return count > 0 ? sum / count : mean
}

function fillAlwaysCovered(
  chunk: BandChunk,
  level: Float32Array,
  always: readonly number[],
  rowList: readonly number[],
  previous: Background | undefined,
): void {
  const { strip, samples, scale } = chunk
  const values = new Float64Array(samples.length)
  for (const c of always) {
    for (const k of rowList) {
      const cell = c * strip.rows + k
      if (previous) {
        level[cell] = previous.level[cell]!
        continue
      }
      for (let i = 0; i < samples.length; i++) values[i] = samples[i]![cell]!
      level[cell] = samples.length > 0 ? quickselect(values, samples.length, (samples.length - 1) >> 1) * scale : 0
    }
  }
}

export function gainAt(gain: Gain, frame: number, column: number, columns: number): number {
  return gain.at[frame]! + gain.slope[frame]! * (column / columns - 0.5)
}

/** Lamp flicker: per frame the median over pieces of 64 columns of brightness ÷ background (given on the probe rows), linear
 *  along the lane. Undefined where the brightness stays within its noise (0.4 %), so that nothing is divided out. */
export function measureGain(chunk: BandChunk, level: Float32Array): Gain | undefined {
  const { strip, frames, probeStep, probeColumns, blocks, blockSums, scale } = chunk
  const size = BLOCK_COLUMNS * chunk.probeRows.length
  const empty = Float64Array.from({ length: blocks }, (_, b) => {
    let sum = 0
    for (let i = b * size; i < Math.min(level.length, (b + 1) * size); i++) sum += level[i]!
    return sum
  })
  const perPiece = Math.max(1, Math.round(64 / probeStep / BLOCK_COLUMNS))
  const pieces: number[] = []
  const last = Math.min(blocks, Math.floor(strip.insideTo / probeStep / BLOCK_COLUMNS))
  for (let b = Math.ceil(strip.insideFrom / probeStep / BLOCK_COLUMNS); b + perPiece <= last; b += perPiece)
    pieces.push(b)
  if (pieces.length < 3 || frames < 8) return undefined
  const ratios = new Float64Array(perPiece)
  const means = new Float64Array(pieces.length)
  // A ball across less than half of a piece leaves the median of its blocks alone.
  const ratioOf = (frame: number, piece: number): number => {
    let n = 0
    for (let b = piece; b < piece + perPiece; b++) {
      if (empty[b]! > 0) ratios[n++] = (blockSums[frame * blocks + b]! * scale) / empty[b]!
    }
    return n > 0 ? quickselect(ratios, n, n >> 1) : 1
  }
  const quick = Float64Array.from({ length: Math.min(frames, 96) }, (_, i) => {
    const frame = Math.floor(((i + 0.5) * frames) / Math.min(frames, 96))
    pieces.forEach((piece, p) => (means[p] = ratioOf(frame, piece)))
    return quickselect(means, pieces.length, pieces.length >> 1)
  })
  if (robustScatter(quick) < 0.004 && Math.max(...quick) - Math.min(...quick) < 0.02) return undefined
  const at = new Float64Array(frames).fill(1)
  const slope = new Float64Array(frames)
  const middle = (piece: number): number => ((piece + perPiece / 2) * BLOCK_COLUMNS) / probeColumns - 0.5
  const slopes = new Float64Array((pieces.length * (pieces.length - 1)) / 2)
  for (let frame = 0; frame < frames; frame++) {
    const values = Float64Array.from(pieces, (piece) => ratioOf(frame, piece))
    // Slope by Theil and Sen, so that a ball across a piece does not tilt it.
    let n = 0
    for (let i = 0; i < pieces.length; i++) {
      for (let j = i + 1; j < pieces.length; j++) {
        slopes[n++] = (values[j]! - values[i]!) / (middle(pieces[j]!) - middle(pieces[i]!))
      }
    }
    const tilt = quickselect(slopes, n, n >> 1)
    pieces.forEach((piece, p) => (means[p] = values[p]! - tilt * middle(piece)))
    at[frame] = quickselect(means, pieces.length, pieces.length >> 1)
    slope[frame] = tilt
  }
  return { at, slope }
}
