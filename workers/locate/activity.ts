import type { BandChunk } from './band-store.ts'
import { gainAt, type Gain } from './background.ts'
import { quickselect } from './robust.ts'

/** How much each column of each frame differs from the empty lane: mean |I − gB| over the probe rows minus the column's
 *  own median over time, on the 0 … 255 scale. Row after row: frame, then column. */
export interface Activity {
  /** Columns that carry probes, and frames. */
  readonly columns: number
  readonly frames: number
  readonly value: Float32Array
  /** Column ranges of each frame that were looked at; outside them the value is 0. */
  readonly spans: readonly (readonly (readonly [from: number, to: number])[])[]
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

/** `level` is the empty lane on the probe rows. Looks only where a frame was kept: elsewhere it showed the empty lane. */
export function measureActivity(chunk: BandChunk, level: Float32Array, gain: Gain | undefined): Activity {
  const { frames, probes, scale, probeColumns: columns, probeStep } = chunk
  const n = chunk.probeRows.length
  const value = new Float32Array(frames * columns)
  const spans: [number, number][][] = []
  for (let f = 0; f < frames; f++) {
    const own: [number, number][] = []
    for (const window of chunk.windows(f)) {
      const from = Math.ceil(window.from / probeStep)
      const to = Math.min(columns, Math.ceil(window.to / probeStep))
      own.push([from, to])
      let at = (f * columns + from) * n
      for (let c = from; c < to; c++) {
        const g = gain ? gainAt(gain, f, c, columns) : 1
        let sum = 0
        for (let i = c * n, end = i + n; i < end; i++) {
          const difference = probes[at++]! * scale - g * level[i]!
          sum += difference < 0 ? -difference : difference
        }
        value[f * columns + c] = sum / n
      }
    }
    spans.push(own)
  }
  removeColumnMedian(value, frames, columns)
  return { columns, frames, value, spans }
}

function removeColumnMedian(value: Float32Array, frames: number, columns: number): void {
  const taken = Math.min(frames, 31)
  const some = new Float32Array(taken)
  for (let c = 0; c < columns; c++) {
    for (let i = 0; i < taken; i++) some[i] = value[Math.floor(((i + 0.5) * frames) / taken) * columns + c]!
    const floor = quickselect(some, taken, (taken - 1) >> 1)
    for (let f = 0; f < frames; f++) value[f * columns + c] = value[f * columns + c]! - floor
  }
}
