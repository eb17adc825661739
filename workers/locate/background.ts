import type { BandChunk } from './band-store.ts'
import { quickselect, robustScatter } from './robust.ts'

/** The empty lane: luma of each cell of the strip on the 0 … 255 scale, and the temporal noise of one pixel. */
export interface Background {
  readonly level: Float32Array
  readonly noise: number
}

/** Column intervals [from, to) that something other than the empty lane covers, per frame of the chunk. */
export type Coverage = readonly (readonly (readonly [from: number, to: number])[])[]

/** Brightness of a frame against the background: factor = a + b·(column − middle)/columns. */
export interface Gain {
  readonly at: Float64Array
  readonly slope: Float64Array
}

/** Median of the probe rows over at most `most` frames spread over the chunk, laid out as the probes of one frame are.
 *  Enough for a first look: a ball that rests for half the chunk becomes part of it. */
export function medianProbes(chunk: BandChunk, most: number): Float32Array {
  const { frames, probes, scale } = chunk
  const size = chunk.probeColumns * chunk.probeRows.length
  const taken = Math.min(frames, most)
  const values = new Float32Array(taken)
  const level = new Float32Array(size)
  for (let i = 0; i < size; i++) {
    for (let f = 0; f < taken; f++) values[f] = probes[Math.floor(((f + 0.5) * frames) / taken) * size + i]!
    level[i] = quickselect(values, taken, (taken - 1) >> 1) * scale
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

/** Mean over the frames in which nothing covers a column (at most 40 of them, spread evenly), values further than 3.5 σ
 *  from a first mean left out. A column that is always covered keeps the level of the chunk before, or its median.
 *  Only the listed rows are filled. */
export function clearBackground(
  chunk: BandChunk,
  coverage: Coverage,
  rowList: readonly number[],
  previous: Background | undefined,
  gain: Gain | undefined,
): Background {
  const { strip, scale, samples, sampleFrames } = chunk
  const { rows, columns } = strip
  const covered = coveredColumns(
    sampleFrames.map((frame) => coverage[frame] ?? []),
    columns,
  )
  const level = new Float32Array(strip.source.length)
  const clear = new Int32Array(sampleFrames.length)
  const values = new Float32Array(MOST_FRAMES)
  const factors = new Float64Array(MOST_FRAMES)
  const picked: (Uint8Array | Uint16Array)[] = []
  const spread: number[] = []
  const always: number[] = []
  for (let c = 0; c < columns; c++) {
    let n = 0
    for (let f = 0; f < sampleFrames.length; f++) if (covered[f * columns + c] === 0) clear[n++] = f
    if (n < 3) {
      always.push(c)
      continue
    }
    const taken = Math.min(n, MOST_FRAMES)
    for (let i = 0; i < taken; i++) {
      const sample = clear[Math.floor(((i + 0.5) * n) / taken)]!
      picked[i] = samples[sample]!
      factors[i] = gain ? scale / gainAt(gain, sampleFrames[sample]!, c, columns) : scale
    }
    for (const k of rowList) {
      const cell = c * rows + k
      let sum = 0
      let square = 0
      for (let i = 0; i < taken; i++) {
        const value = picked[i]![cell]! * factors[i]!
        values[i] = value
        sum += value
        square += value * value
      }
      const mean = sum / taken
      const variance = Math.max(0, square / taken - mean * mean)
      level[cell] = variance < 1 ? mean : trimmedMean(values, taken, mean, Math.sqrt(variance))
      if (k === strip.lineRow && taken > 8) spread.push(Math.sqrt(variance))
    }
  }
  fillAlwaysCovered(chunk, level, always, rowList, previous)
  const sorted = Float64Array.from(spread).sort()
  // Values come in whole steps: rounding alone scatters by 1/√12 of one.
  const noise = Math.max(scale / Math.sqrt(12), sorted.length > 0 ? sorted[sorted.length >> 1]! : 1)
  return { level, noise }
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

function trimmedMean(values: Float32Array, n: number, mean: number, spread: number): number {
  let sum = 0
  let count = 0
  for (let i = 0; i < n; i++) {
    if (Math.abs(values[i]! - mean) > 2.5 * spread) continue
    sum += values[i]!
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
  const values = new Float32Array(samples.length)
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

/** Lamp flicker: per frame the median over blocks of 64 columns of brightness ÷ background (given on the probe rows), linear
 *  along the lane. Undefined where the brightness stays within its noise (0.4 %), so that nothing is divided out. */
export function measureGain(chunk: BandChunk, level: Float32Array): Gain | undefined {
  const { strip, frames, probes, probeStep, probeColumns } = chunk
  const perColumn = chunk.probeRows.length
  const size = probeColumns * perColumn
  const block = Math.round(64 / probeStep)
  const blocks: number[] = []
  const last = Math.min(probeColumns, Math.floor(strip.insideTo / probeStep))
  for (let c = Math.ceil(strip.insideFrom / probeStep); c + block <= last; c += block) blocks.push(c)
  if (blocks.length < 3 || frames < 8) return undefined
  const at = new Float64Array(frames).fill(1)
  const slope = new Float64Array(frames)
  const ratios = new Float64Array(block)
  const means = new Float64Array(blocks.length)
  const blockRatio = (frame: number, from: number, step: number): number => {
    let n = 0
    for (let c = from; c < from + block; c += step) {
      let seen = 0
      let empty = 0
      for (let i = c * perColumn; i < (c + 1) * perColumn; i++) {
        seen += probes[frame * size + i]!
        empty += level[i]!
      }
      if (empty > 0) ratios[n++] = (seen * chunk.scale) / empty
    }
    return n > 0 ? quickselect(ratios, n, n >> 1) : 1
  }
  const quick = Float64Array.from({ length: Math.min(frames, 96) }, (_, i) => {
    const frame = Math.floor(((i + 0.5) * frames) / Math.min(frames, 96))
    blocks.forEach((from, b) => (means[b] = blockRatio(frame, from, 5)))
    return quickselect(means, blocks.length, blocks.length >> 1)
  })
  if (robustScatter(quick) < 0.004 && Math.max(...quick) - Math.min(...quick) < 0.02) return undefined
  const deviations = new Float64Array(blocks.length)
  for (let frame = 0; frame < frames; frame++) {
    const values = Float64Array.from(blocks, (from) => blockRatio(frame, from, 2))
    const centre = quickselect(Float64Array.from(values), values.length, values.length >> 1)
    // Slope by Theil and Sen, so that a ball across a block does not tilt it.
    let n = 0
    const slopes = new Float64Array((blocks.length * (blocks.length - 1)) / 2)
    for (let i = 0; i < blocks.length; i++) {
      for (let j = i + 1; j < blocks.length; j++) {
        slopes[n++] = (values[j]! - values[i]!) / ((blocks[j]! - blocks[i]!) / probeColumns)
      }
    }
    const tilt = quickselect(slopes, n, n >> 1)
    blocks.forEach((from, b) => (deviations[b] = values[b]! - tilt * ((from + block / 2) / probeColumns - 0.5)))
    at[frame] = blocks.length > 0 ? quickselect(deviations, blocks.length, blocks.length >> 1) : centre
    slope[frame] = tilt
  }
  return { at, slope }
}
