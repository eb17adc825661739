import * as maths from '../elementary/maths.ts'
import { pictureMotion, type ShakeTrack } from '../record/index.ts'

export type { ShakeTrack } from '../record/index.ts'

/** Takes a clip's shake out of a place in the picture. `u_px`: standard uncertainty of the steadied place from the track. */
export function steadied(
  track: ShakeTrack,
): (frame: number, x: number, y: number) => { readonly x: number; readonly y: number; readonly u_px: number } {
  const { about, u_px, frames } = track
  if (frames.length === 0) return (_frame, x, y) => ({ x, y, u_px: 0 })
  const motion = pictureMotion(track)
  return (frame, x, y) => {
    const { turn_rad, dx, dy } = motion(frame)
    const px = x - about.x - dx
    const py = y - about.y - dy
    const [c, s] = [maths.cos(turn_rad), maths.sin(turn_rad)]
    return { x: about.x + c * px + s * py, y: about.y - s * px + c * py, u_px }
  }
}
