import type { BandChunk } from './band-store.ts'
import { gainAt, type Gain } from './background.ts'
import { quickselect } from './robust.ts'

/** How much each column of each frame differs from the empty lane: mean |I − gB| over the probe rows minus the column's
 *  own median over time, on the 0 … 255 scale. Held where a frame was kept: elsewhere it shows the empty lane (0). */
export interface Activity {
  /** Columns that carry probes, and frames. */
  readonly columns: number
  readonly frames: number
  readonly value: Float32Array
  /** Column ranges of each frame that were looked at, rising; column c of one lies at `value[base + c]`. */
  readonly spans: readonly (readonly Span[])[]
}

export interface Span {
  readonly from: number
  /** One past the last column. */
  readonly to: number
  readonly base: number
}

/** Rows of the strip between two distances from the line along its normal [px], every `step`-th. */
export function rowsBetween(
  strip: { rows: number; lineRow: number; columns: number; x: Float32Array; y: Float32Array },
  from_px: number,
  to_px: number,
  step: number,
): number[] {
  const c = strip.columns >> 1
  const at = (k: number): number => c * strip.rows + Math.max(0, Math.min(strip.rows - 1, k))
  const up = strip.lineRow - 1
  const down = strip.lineRow + 1
  const pitchX = (strip.x[at(down)]! - strip.x[at(up)]!) / 2
  const pitchY = (strip.y[at(down)]! - strip.y[at(up)]!) / 2
  // Distance between rows along the normal: a step of one pixel, times the cosine of the line's lean.
  const nextX = strip.x[Math.min(strip.columns - 1, c + 20) * strip.rows + strip.lineRow]! - strip.x[at(strip.lineRow)]!
  const nextY = strip.y[Math.min(strip.columns - 1, c + 20) * strip.rows + strip.lineRow]! - strip.y[at(strip.lineRow)]!
  const run = Math.hypot(nextX, nextY) || 1
  const pitch = Math.max(0.3, Math.abs(pitchX * nextY - pitchY * nextX) / run || 1)
  const rows: number[] = []
  for (let v = from_px; v <= to_px + 1e-9; v += step * pitch) {
    const k = strip.lineRow + Math.round(v / pitch)
    if (k >= 0 && k < strip.rows && rows[rows.length - 1] !== k) rows.push(k)
  }
  return rows
}

/** `level` is the empty lane on the probe rows. */
export function measureActivity(chunk: BandChunk, level: Float32Array, gain: Gain | undefined): Activity {
  const { frames, scale, probeColumns: columns, probeStep } = chunk
  const probeRows = Int32Array.from(chunk.probeRows)
  const n = probeRows.length
  const pitch = chunk.strip.rows * probeStep
  const spans: Span[][] = []
  let held = 0
  for (let f = 0; f < frames; f++) {
    const own: Span[] = []
    for (const window of chunk.windows(f)) {
      const from = Math.ceil(window.from / probeStep)
      const to = Math.min(columns, Math.ceil(window.to / probeStep))
      if (to <= from) continue
      own.push({ from, to, base: held - from })
      held += to - from
    }
    spans.push(own)
  }
  const value = new Float32Array(held)
  let at = 0
  for (let f = 0; f < frames; f++) {
    for (const { data, base, from: first, to: last } of chunk.windows(f)) {
      const to = Math.min(columns, Math.ceil(last / probeStep))
      for (let c = Math.ceil(first / probeStep); c < to; c++) {
        const g = gain ? gainAt(gain, f, c, columns) : 1
        const column = base + c * pitch
        let sum = 0
        for (let i = 0, cell = c * n; i < n; i++, cell++) {
          const difference = data[column + probeRows[i]!]! * scale - g * level[cell]!
          sum += difference < 0 ? -difference : difference
        }
        value[at++] = sum / n
      }
    }
  }
  removeColumnMedian(value, spans, columns)
  return { columns, frames, value, spans }
}

const FRAMES_FOR_MEDIAN = 31

function removeColumnMedian(value: Float32Array, spans: readonly (readonly Span[])[], columns: number): void {
  const frames = spans.length
  const taken = Math.min(frames, FRAMES_FOR_MEDIAN)
  // Column after column, the values of some frames.
  const some = new Float64Array(columns * taken)
  const seen = new Uint8Array(columns)
  for (let i = 0; i < taken; i++) {
    for (const { from, to, base } of spans[Math.floor(((i + 0.5) * frames) / taken)]!) {
      for (let c = from; c < to; c++) {
        some[c * taken + i] = value[base + c]!
        seen[c] = seen[c]! + 1
      }
    }
  }
  const floor = new Float32Array(columns)
  let any = false
  const rank = (taken - 1) >> 1
  for (let c = 0; c < columns; c++) {
    // Mostly not looked at: the median is 0.
    if (seen[c]! < taken - rank) continue
    floor[c] = quickselect(some.subarray(c * taken, (c + 1) * taken), taken, rank)
    any = true
  }
  if (!any) return
  for (const own of spans) {
    for (const { from, to, base } of own) {
      for (let c = from; c < to; c++) value[base + c] = value[base + c]! - floor[c]!
    }
  }
}
