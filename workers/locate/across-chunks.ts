import type { LaneAnalysis } from './analyse-lane.ts'
import type { BandChunk } from './band-store.ts'
import type { GapReason } from './doubts.ts'
import type { RawMark } from './locate-passage.ts'

/** Raw marks of each ball of a lane, gathered chunk by chunk. */
export interface BallPieces {
  readonly pieces: { marks: RawMark[] }[]
  readonly refused: Map<number, GapReason>
}

/** Adds a chunk's passages. Chunks overlap: a passage that has marks in frames (and places) of a gathered ball goes on
 *  from it; one that begins just where a ball left off, at its speed, does so too. */
export function gatherPieces(
  balls: BallPieces,
  analysis: LaneAnalysis,
  chunk: BandChunk,
  time_s: ArrayLike<number>,
): void {
  const taken = new Set<{ marks: RawMark[] }>()
  const before = [...balls.pieces]
  for (const { located } of analysis.passages) {
    for (const { frame, reason } of located.refused) balls.refused.set(frame, reason)
    const marks = located.marks
    const first = marks[0]
    if (!first) continue
    const earlier = before.find((piece) => !taken.has(piece) && continues(piece.marks, marks, time_s))
    if (!earlier) {
      balls.pieces.push({ marks: [...marks] })
      continue
    }
    taken.add(earlier)
    const last = earlier.marks[earlier.marks.length - 1]!.frame
    // Half of the shared frames from either chunk: each knows its own middle better than its end.
    const seam = Math.max(first.frame, Math.floor((last + Math.max(first.frame, chunk.firstFrame)) / 2))
    earlier.marks = [...earlier.marks.filter((m) => m.frame < seam), ...marks.filter((m) => m.frame >= seam)]
  }
}

function continues(earlier: readonly RawMark[], later: readonly RawMark[], time_s: ArrayLike<number>): boolean {
  const end = earlier[earlier.length - 1]
  const start = later[0]
  if (!end || !start) return false
  const radius = end.radius
  const shared = new Map(earlier.slice(-200).map((mark) => [mark.frame, mark.s]))
  let common = 0
  let near = 0
  for (const mark of later) {
    const s = shared.get(mark.frame)
    if (s === undefined) continue
    common++
    if (Math.abs(s - mark.s) < 0.5 * radius) near++
  }
  if (common > 0) return near > common / 2
  if (start.frame <= end.frame || start.frame - end.frame > 240) return false
  const before = earlier[Math.max(0, earlier.length - 12)]!
  const span = time_s[end.frame]! - time_s[before.frame]!
  if (!(span > 0)) return false
  const speed = (end.s - before.s) / span
  const way = speed * (time_s[start.frame]! - time_s[end.frame]!)
  return Math.abs(end.s + way - start.s) < Math.max(0.6 * radius, 0.15 * Math.abs(way))
}
