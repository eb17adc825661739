import type { Coverage } from './background.ts'
import type { Detections } from './detect.ts'
import { travel, type Track } from './link.ts'

/** Tracks sorted by what they are: balls under way, and things that stay where they are (a rest of a ball that the
 *  background swallowed, a hand laid down). */
export interface Sorted {
  readonly moving: readonly Track[]
  readonly still: readonly Track[]
}

const STILL_FRAMES = 40

export function sortTracks(tracks: readonly Track[], radius_columns: number): Sorted {
  const moving: Track[] = []
  const still: Track[] = []
  for (const track of tracks) {
    if (travel(track) > 2 * radius_columns) moving.push(track)
    else if (track.frames.length > STILL_FRAMES) still.push(track)
  }
  return { moving, still }
}

/** What each frame covers: every detection that is not part of a still thing, half a ball and ten pixels more on either
 *  side, gaps of moving tracks bridged. */
export function coverageOf(detections: Detections, sorted: Sorted, radius_columns: number): [number, number][][] {
  const reach = 1.5 * radius_columns + 10
  const covered: [number, number][][] = detections.byFrame.map(() => [])
  const stillAt = detections.byFrame.map(() => new Set<number>())
  for (const track of sorted.still) track.frames.forEach((frame, i) => stillAt[frame]!.add(track.columns[i]!))
  detections.byFrame.forEach((found, frame) => {
    for (const { column } of found) {
      if (!stillAt[frame]!.has(column))
        covered[frame]!.push([Math.floor(column - reach), Math.ceil(column + reach) + 1])
    }
  })
  for (const track of sorted.moving) {
    for (let i = 1; i < track.frames.length; i++) {
      for (let frame = track.frames[i - 1]! + 1; frame < track.frames[i]!; frame++) {
        const column = columnBetween(track, i, frame)
        covered[frame]!.push([Math.floor(column - reach), Math.ceil(column + reach) + 1])
      }
    }
  }
  return covered
}

function columnBetween(track: Track, i: number, frame: number): number {
  const share = (frame - track.frames[i - 1]!) / (track.frames[i]! - track.frames[i - 1]!)
  return track.columns[i - 1]! + share * (track.columns[i]! - track.columns[i - 1]!)
}

/** A track that begins (or ends) inside the lane while the clip goes on came from (or went into) a ball at rest that the
 *  background had swallowed. Its place counts as covered for the frames before (or after). True where any was added. */
export function coverRests(
  covered: [number, number][][],
  sorted: Sorted,
  inside: readonly [from: number, to: number],
  radius_columns: number,
): boolean {
  const reach = 1.5 * radius_columns + 10
  const margin = 1.5 * radius_columns
  const interior = (column: number): boolean => column > inside[0] + margin && column < inside[1] - margin
  let added = false
  for (const track of sorted.moving) {
    const first = track.frames[0]!
    const last = track.frames[track.frames.length - 1]!
    const start = track.columns[0]!
    const end = track.columns[track.columns.length - 1]!
    const cover = (from: number, to: number, column: number): void => {
      for (let frame = from; frame < to; frame++) {
        covered[frame]!.push([Math.floor(column - reach), Math.ceil(column + reach) + 1])
        added = true
      }
    }
    if (first > 3 && interior(start)) cover(0, first, start)
    if (last < covered.length - 4 && interior(end)) cover(last + 1, covered.length, end)
  }
  return added
}

export type { Coverage }
