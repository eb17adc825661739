import { movedBack } from '../elementary/rigid-motion.ts'
import { pictureMotion, type ShakeTrack } from '../record/index.ts'

/** Takes a clip's shake out of a place in the picture. `u_px`: standard uncertainty of the steadied place from the track. */
export function steadied(
  track: ShakeTrack,
): (frame: number, x: number, y: number) => { readonly x: number; readonly y: number; readonly u_px: number } {
  const motion = pictureMotion(track)
  const u_px = track.frames.length === 0 ? 0 : track.u_px
  return (frame, x, y) => ({ ...movedBack(motion(frame), track.about, { x, y }), u_px })
}
