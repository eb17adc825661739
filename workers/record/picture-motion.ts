import type { ShakeTrack } from './schema/clips.ts'

/** Where a clip's picture went in one frame: turned by `turn_rad` about the track's `about` (positive from x to y), then shifted [px]. */
export interface PictureMotion {
  readonly turn_rad: number
  readonly dx: number
  readonly dy: number
}

/** What a track says of each frame; one that it does not hold takes its neighbours' values in between. */
export function pictureMotion({ frames, dx, dy, turn_rad }: ShakeTrack): (frame: number) => PictureMotion {
  if (frames.length === 0) return () => ({ turn_rad: 0, dx: 0, dy: 0 })
  return (frame) => {
    let low = 0
    let high = frames.length - 1
    while (high - low > 1) {
      const middle = (low + high) >> 1
      if (frames[middle]! <= frame) low = middle
      else high = middle
    }
    const span = frames[high]! - frames[low]!
    const part = span > 0 ? Math.min(1, Math.max(0, (frame - frames[low]!) / span)) : 0
    const between = (column: readonly number[]) => column[low]! + part * (column[high]! - column[low]!)
    return { turn_rad: between(turn_rad), dx: between(dx), dy: between(dy) }
  }
}
