import type { BandChunk } from './band-store.ts'
import { median, quickselect } from './robust.ts'

const MOST_CHANGED = 40
const HALF_WINDOW = 12
/** True repeats were seen below .13 of the usual change, all others above .29. */
const SHARE = 0.2
/** Share of the usual change that a neighbour of a repeated frame shows at least. */
const BESIDE = 0.5

/** Frames (numbers in the clip) that only repeat the one before: the mean change of the 40 most changed columns of the
 *  bands, against its running median, falls under a fifth. Judged only while something moves, since nothing tells a
 *  repeat from a still scene; exact equality would fail on compressed clips. */
export function repeatedFrames(chunks: readonly BandChunk[]): number[] {
  const first = chunks[0]
  if (!first || first.frames < 4 * HALF_WINDOW) return []
  const change = new Float64Array(first.frames)
  const widest = chunks.reduce((sum, chunk) => sum + chunk.probeColumns, 0)
  const perColumn = new Float64Array(widest)
  for (let frame = 1; frame < first.frames; frame++) {
    let n = 0
    const brighter = brightening(chunks, frame)
    for (const { probes, probeRows, probeColumns, probeStep, scale, windows } of chunks) {
      const cells = probeRows.length
      for (const window of windows(frame)) {
        const first = Math.ceil(window.from / probeStep)
        const last = Math.min(probeColumns, Math.ceil(window.to / probeStep))
        for (let c = first; c < last; c++) {
          const here = (frame * probeColumns + c) * cells
          const before = here - probeColumns * cells
          let sum = 0
          for (let i = 0; i < cells; i++) sum += Math.abs(probes[here + i]! - brighter * probes[before + i]!)
          perColumn[n++] = (sum * scale) / cells
        }
      }
    }
    // Nothing differs from the empty lane (a ball behind a post): nothing to judge by.
    if (n === 0) {
      change[frame] = NaN
      continue
    }
    const from = Math.max(0, n - MOST_CHANGED)
    quickselect(perColumn, n, from)
    let total = 0
    for (let i = from; i < n; i++) total += perColumn[i]!
    change[frame] = total / Math.max(1, n - from)
  }
  const quiet = quietest(change)
  const repeated: number[] = []
  for (let frame = 1; frame < first.frames; frame++) {
    const before = median(judged(change, frame - HALF_WINDOW, frame))
    const after = median(judged(change, frame + 1, frame + HALF_WINDOW + 1))
    // Something must move both before and after: else a ball that enters makes the still frames before look repeated.
    const around = Math.min(before, after)
    const moving = around > Math.max(2, 3 * Math.min(quiet, 1))
    const still = change[frame]! < SHARE * around
    if (moving && still && movesBeside(change, frame, around)) repeated.push(first.firstFrame + frame)
  }
  return repeated
}

/** A repeated frame stands between frames that change as usual; a ball that goes behind a post fades out over many. */
function movesBeside(change: Float64Array, frame: number, usual: number): boolean {
  const moves = (at: number): boolean => change[at] !== undefined && change[at] > BESIDE * usual
  return (moves(frame - 1) || moves(frame - 2)) && (moves(frame + 1) || moves(frame + 2))
}

/** Brightness of a frame against the one before: a lamp that flickers is no motion. */
function brightening(chunks: readonly BandChunk[], frame: number): number {
  let here = 0
  let before = 0
  for (const { probes, probeRows, probeColumns } of chunks) {
    const size = probeColumns * probeRows.length
    for (let i = frame * size, end = i + size; i < end; i += 7) {
      here += probes[i]!
      before += probes[i - size]!
    }
  }
  const ratio = before > 0 ? here / before : 1
  // Below what a ball itself does to the mean.
  return Math.abs(ratio - 1) < 0.01 ? 1 : ratio
}

function judged(change: Float64Array, from: number, to: number): number[] {
  return [...change.subarray(Math.max(1, from), Math.max(1, to))].filter((value) => !Number.isNaN(value))
}

/** Change of the stillest eighth of the frames. */
function quietest(change: Float64Array): number {
  const sorted = judged(change, 1, change.length).sort((a, b) => a - b)
  return median(sorted.slice(0, Math.max(1, sorted.length >> 3)))
}
