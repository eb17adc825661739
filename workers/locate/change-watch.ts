import { quickselect } from './robust.ts'

/** Decides, frame by frame while the clip is read, which columns of a lane's band are worth keeping: those that differ
 *  from the empty lane as known so far, on the probe rows. Kept generously: what is kept in vain costs memory only. */
export class ChangeWatch {
  /** The empty lane on the probe rows as known so far, 0 … 255. */
  readonly reference: Float32Array
  private readonly columns: number
  private readonly probes: number
  private readonly half: number
  private readonly margin: number
  private readonly scale: number
  private readonly floor: Float32Array
  private readonly activity: Float32Array
  /** Sums of the reference over blocks of columns, and room for the blocks' ratios. */
  private readonly empty: Float64Array
  private readonly ratios: Float64Array
  private turn = 0

  /** `pitch_px`: from one probed column to the next. */
  constructor(columns: number, probes: number, radius_px: number, pitch_px: number, scale: number) {
    this.columns = columns
    this.probes = probes
    this.half = Math.max(1, Math.round((0.5 * radius_px) / pitch_px))
    this.margin = Math.ceil((1.2 * radius_px + 12) / pitch_px)
    this.scale = scale
    this.reference = new Float32Array(columns * probes)
    this.floor = new Float32Array(columns)
    this.activity = new Float32Array(columns)
    this.empty = new Float64Array(blocksOf(columns))
    this.ratios = new Float64Array(this.empty.length)
  }

  /** Takes the median of the first frames' probes, and what these frames differ from it, as the empty lane. */
  begin(first: readonly (Uint8Array | Uint16Array)[], sums: readonly Float32Array[]): void {
    const frames = first.length
    const values = new Float64Array(frames)
    for (let i = 0; i < this.reference.length; i++) {
      for (let f = 0; f < frames; f++) values[f] = first[f]![i]!
      this.reference[i] = quickselect(values, frames, (frames - 1) >> 1) * this.scale
    }
    sumBlocks(this.reference, this.probes, this.empty)
    const levels: Float32Array[] = []
    for (let f = 0; f < frames; f += Math.max(1, frames >> 3)) {
      this.measure(first[f]!, sums[f]!)
      levels.push(this.activity.slice())
    }
    const few = new Float64Array(levels.length)
    for (let c = 0; c < this.columns; c++) {
      for (let i = 0; i < levels.length; i++) few[i] = levels[i]![c]!
      this.floor[c] = quickselect(few, few.length, (few.length - 1) >> 1)
    }
  }

  /** Column ranges of one frame to keep, rising, disjoint. `sums`: of its probes over blocks of columns. */
  changed(probes: Uint8Array | Uint16Array, sums: Float32Array): [number, number][] {
    this.measure(probes, sums)
    const { columns, half, margin, activity, floor } = this
    const ranges: [number, number][] = []
    const enough = THRESHOLD * (2 * half + 1)
    let sum = 0
    for (let c = -half; c < columns; c++) {
      const enter = c + half
      const leave = c - half - 1
      if (enter < columns) sum += activity[enter]! - floor[enter]!
      if (leave >= 0) sum -= activity[leave]! - floor[leave]!
      if (c < 0 || sum < enough) continue
      const last = ranges[ranges.length - 1]
      const to = Math.min(columns, c + margin + 1)
      if (last && c - margin <= last[1]) last[1] = to
      else ranges.push([Math.max(0, c - margin), to])
    }
    this.adapt(probes, ranges)
    return ranges
  }

  /** Mean |I − gB| of each column, g the frame's brightness against the empty lane. */
  private measure(probes: Uint8Array | Uint16Array, sums: Float32Array): void {
    const { columns, probes: n, reference, activity, empty, ratios, scale } = this
    for (let block = 0; block < ratios.length; block++) {
      ratios[block] = empty[block]! > 0 ? (sums[block]! * scale) / empty[block]! : 1
    }
    const gain = quickselect(ratios, ratios.length, ratios.length >> 1)
    const factor = Math.abs(gain - 1) < 0.004 || !(gain > 0) ? scale : scale / gain
    let i = 0
    for (let c = 0; c < columns; c++) {
      let sum = 0
      for (const end = i + n; i < end; i++) {
        const difference = probes[i]! * factor - reference[i]!
        sum += difference < 0 ? -difference : difference
      }
      activity[c] = sum / n
    }
  }

  /** Lets the empty lane follow slow changes of light where nothing moves. */
  private adapt(probes: Uint8Array | Uint16Array, ranges: readonly (readonly [number, number])[]): void {
    if ((this.turn = (this.turn + 1) & 31) !== 0) return
    const { probes: n, reference, scale } = this
    let from = 0
    for (const [start, end] of [...ranges, [this.columns, this.columns] as const]) {
      for (let i = from * n; i < start * n; i++)
        reference[i] = reference[i]! + 0.1 * (probes[i]! * scale - reference[i]!)
      from = end
    }
    sumBlocks(reference, n, this.empty)
  }
}

/** Columns that share one sum of brightness. */
export const BLOCK_COLUMNS = 8

export function blocksOf(columns: number): number {
  return Math.max(1, Math.floor(columns / BLOCK_COLUMNS))
}

function sumBlocks(reference: Float32Array, perColumn: number, sums: Float64Array): void {
  const size = BLOCK_COLUMNS * perColumn
  for (let block = 0, i = 0; block < sums.length; block++) {
    let sum = 0
    for (const end = Math.min(reference.length, i + size); i < end; i++) sum += reference[i]!
    sums[block] = sum
  }
}

/** Under what detection asks for (2.5 grey levels over 1.5 radii). */
const THRESHOLD = 2
