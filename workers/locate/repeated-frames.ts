import { median, quickselect } from './robust.ts'

const MOST_CHANGED = 40
const HALF_WINDOW = 12
/** True repeats were seen below .13 of the usual change, all others above .29. */
const SHARE = 0.2
/** Share of the usual change that a neighbour of a repeated frame shows at least. */
const BESIDE = 0.5

/** What a lane shows of a frame and of the one before, on its probes, and the probed columns to compare. */
export interface ComparedProbes {
  readonly probes: Uint8Array | Uint16Array
  readonly before: Uint8Array | Uint16Array
  readonly probeRows: readonly number[]
  readonly ranges: readonly (readonly [from: number, to: number])[]
}

/** Finds frames that only repeat the one before: the mean change of the 40 most changed columns of the bands, against its
 *  running median, falls under a fifth. Judged only while something moves, since nothing tells a repeat from a still scene;
 *  exact equality would fail on compressed clips. Change is measured as frames are read, so that no probes need be held. */
export class FrameChange {
  private readonly change: Float32Array
  private readonly perColumn: Float64Array
  private readonly scale: number

  constructor(capacity: number, columns: number, scale: number) {
    this.change = new Float32Array(capacity)
    this.perColumn = new Float64Array(columns)
    this.scale = scale
  }

  /** Takes in how much a frame of the chunk differs from the one before it in the clip. */
  add(frame: number, lanes: readonly ComparedProbes[]): void {
    const { perColumn } = this
    const brighter = brightening(lanes)
    let n = 0
    for (const { probes, before, probeRows, ranges } of lanes) {
      const cells = probeRows.length
      for (const [from, to] of ranges) {
        for (let c = from; c < to; c++) {
          let sum = 0
          for (let i = c * cells, end = i + cells; i < end; i++) {
            const difference = probes[i]! - brighter * before[i]!
            sum += difference < 0 ? -difference : difference
          }
          perColumn[n++] = (sum * this.scale) / cells
        }
      }
    }
    // Nothing differs from the empty lane (a ball behind a post): nothing to judge by.
    if (n === 0) {
      this.change[frame] = NaN
      return
    }
    const from = Math.max(0, n - MOST_CHANGED)
    quickselect(perColumn, n, from)
    let total = 0
    for (let i = from; i < n; i++) total += perColumn[i]!
    this.change[frame] = total / Math.max(1, n - from)
  }

  /** Forgets the frames before `from` of those held. */
  dropBefore(from: number, held: number): void {
    this.change.copyWithin(0, from, held)
  }

  /** Repeating frames of the chunk, of which `frames` are held. */
  repeated(frames: number): number[] {
    if (frames < 4 * HALF_WINDOW) return []
    const change = this.change.subarray(0, frames)
    const quiet = quietest(change)
    const repeated: number[] = []
    for (let frame = 1; frame < frames; frame++) {
      const before = median(judged(change, frame - HALF_WINDOW, frame))
      const after = median(judged(change, frame + 1, frame + HALF_WINDOW + 1))
      // Something must move both before and after: else a ball that enters makes the still frames before look repeated.
      const around = Math.min(before, after)
      const moving = around > Math.max(2, 3 * Math.min(quiet, 1))
      const still = change[frame]! < SHARE * around
      if (moving && still && movesBeside(change, frame, around)) repeated.push(frame)
    }
    return repeated
  }
}

/** A repeated frame stands between frames that change as usual; a ball that goes behind a post fades out over many. */
function movesBeside(change: Float32Array, frame: number, usual: number): boolean {
  const moves = (at: number): boolean => change[at] !== undefined && change[at] > BESIDE * usual
  return (moves(frame - 1) || moves(frame - 2)) && (moves(frame + 1) || moves(frame + 2))
}

/** Brightness of a frame against the one before: a lamp that flickers is no motion. */
function brightening(lanes: readonly ComparedProbes[]): number {
  let here = 0
  let there = 0
  for (const { probes, before } of lanes) {
    for (let i = 0; i < probes.length; i += 7) {
      here += probes[i]!
      there += before[i]!
    }
  }
  const ratio = there > 0 ? here / there : 1
  // Below what a ball itself does to the mean.
  return Math.abs(ratio - 1) < 0.01 ? 1 : ratio
}

function judged(change: Float32Array, from: number, to: number): Float32Array {
  return change.subarray(Math.max(1, from), Math.max(1, to)).filter((value) => !Number.isNaN(value))
}

/** Change of the stillest eighth of the frames. */
function quietest(change: Float32Array): number {
  const sorted = judged(change, 1, change.length).sort()
  return median(sorted.slice(0, Math.max(1, sorted.length >> 3)))
}
