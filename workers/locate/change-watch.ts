import { quickselect } from './robust.ts'

/** Decides, frame by frame while the clip is read, which columns of a lane's band are worth keeping: those that differ
 *  from the empty lane as known so far, on the probe rows. Kept generously: what is kept in vain costs memory only. */
export class ChangeWatch {
  private readonly columns: number
  private readonly probes: number
  private readonly half: number
  private readonly margin: number
  private readonly scale: number
  private readonly reference: Float32Array
  private readonly floor: Float32Array
  private readonly activity: Float32Array
  private readonly sums: Float64Array

  constructor(columns: number, probes: number, radius_columns: number, scale: number) {
    this.columns = columns
    this.probes = probes
    this.half = Math.max(1, Math.round(0.5 * radius_columns))
    this.margin = Math.ceil(1.2 * radius_columns) + 8
    this.scale = scale
    this.reference = new Float32Array(columns * probes)
    this.floor = new Float32Array(columns)
    this.activity = new Float32Array(columns)
    this.sums = new Float64Array(Math.max(1, columns >> 5))
  }

  /** Takes the median of the first frames as the empty lane. */
  begin(first: Uint8Array | Uint16Array, frames: number): void {
    const size = this.columns * this.probes
    const values = new Float32Array(frames)
    for (let i = 0; i < size; i++) {
      for (let f = 0; f < frames; f++) values[f] = first[f * size + i]!
      this.reference[i] = quickselect(values, frames, (frames - 1) >> 1) * this.scale
    }
    const levels: Float32Array[] = []
    for (let f = 0; f < frames; f += Math.max(1, frames >> 3)) {
      this.measure(first, f * size)
      levels.push(this.activity.slice())
    }
    const few = new Float32Array(levels.length)
    for (let c = 0; c < this.columns; c++) {
      for (let i = 0; i < levels.length; i++) few[i] = levels[i]![c]!
      this.floor[c] = quickselect(few, few.length, (few.length - 1) >> 1)
    }
  }

  /** Column ranges of one frame to keep, rising, disjoint. */
  changed(probes: Uint8Array | Uint16Array, offset: number): [number, number][] {
    this.measure(probes, offset)
    const { columns, half, margin, activity, floor } = this
    const ranges: [number, number][] = []
    let sum = 0
    for (let c = -half; c < columns; c++) {
      const enter = c + half
      const leave = c - half - 1
      if (enter < columns) sum += activity[enter]! - floor[enter]!
      if (leave >= 0) sum -= activity[leave]! - floor[leave]!
      if (c < 0 || sum < THRESHOLD * (2 * half + 1)) continue
      const last = ranges[ranges.length - 1]
      const to = Math.min(columns, c + margin + 1)
      if (last && c - margin <= last[1]) last[1] = to
      else ranges.push([Math.max(0, c - margin), to])
    }
    this.adapt(probes, offset, ranges)
    return ranges
  }

  /** Mean |I − gB| of each column, g the frame's brightness against the empty lane. */
  private measure(probes: Uint8Array | Uint16Array, offset: number): void {
    const { columns, probes: n, reference, activity, sums, scale } = this
    for (let block = 0; block < sums.length; block++) {
      let seen = 0
      let empty = 0
      const from = block * 32 * n
      const to = Math.min(columns * n, from + 32 * n)
      for (let i = from; i < to; i += 3) {
        seen += probes[offset + i]!
        empty += reference[i]!
      }
      sums[block] = empty > 0 ? (seen * scale) / empty : 1
    }
    const gain = quickselect(sums, sums.length, sums.length >> 1)
    const factor = Math.abs(gain - 1) < 0.004 || !(gain > 0) ? scale : scale / gain
    let i = 0
    for (let c = 0; c < columns; c++) {
      let sum = 0
      for (const end = i + n; i < end; i++) {
        const difference = probes[offset + i]! * factor - reference[i]!
        sum += difference < 0 ? -difference : difference
      }
      activity[c] = sum / n
    }
  }

  /** Lets the empty lane follow slow changes of light where nothing moves. */
  private adapt(
    probes: Uint8Array | Uint16Array,
    offset: number,
    ranges: readonly (readonly [number, number])[],
  ): void {
    if ((this.turn = (this.turn + 1) & 31) !== 0) return
    const { probes: n, reference, scale } = this
    let from = 0
    for (const [start, end] of [...ranges, [this.columns, this.columns] as const]) {
      for (let i = from * n; i < start * n; i++)
        reference[i] = reference[i]! + 0.1 * (probes[offset + i]! * scale - reference[i]!)
      from = end
    }
  }

  private turn = 0
}

/** Well under what detection asks for (2.5 grey levels over 1.5 radii). */
const THRESHOLD = 1.5
