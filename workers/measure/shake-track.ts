import * as maths from '../elementary/maths.ts'
import type { Clip } from '../record/index.ts'

export type ShakeTrack = NonNullable<Clip['shake']>

/**
 * Takes a clip's shake out of a place in the picture. The track says where the view's picture went in each frame: turned by `turn_rad` about
 * `about` (positive from x to y), then shifted by (dx, dy); a frame that the track does not hold takes its neighbours' values in between.
 * `u_px`: standard uncertainty of the steadied place from the track.
 */
export function steadied(
  track: ShakeTrack,
): (frame: number, x: number, y: number) => { readonly x: number; readonly y: number; readonly u_px: number } {
  const { frames, dx, dy, turn_rad, about, u_px } = track
  if (frames.length === 0) return (_frame, x, y) => ({ x, y, u_px: 0 })
  return (frame, x, y) => {
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
    const turn = between(turn_rad)
    const px = x - about.x - between(dx)
    const py = y - about.y - between(dy)
    const [c, s] = [maths.cos(turn), maths.sin(turn)]
    return { x: about.x + c * px + s * py, y: about.y - s * px + c * py, u_px }
  }
}
