import type { FrameJob } from '../../decode/frame-job.ts'
import type { Rotation } from '../../locate/frame-source.ts'
import type { LumaPatch } from '../../measure/luma-patch.ts'
import type { FeaturePath } from '../../measure/shake-from-features.ts'
import { featureShift } from '../../measure/still-feature.ts'
import type { Px } from '../../record/index.ts'
import { displayedPatch, rectAround, type NoPixels } from './displayed-patch.ts'

export interface FollowStillParams {
  readonly turn_deg: Rotation
  /** The frame on which the features were marked: there they are at home. */
  readonly reference: number
  readonly first: number
  /** Last frame, included. */
  readonly last: number
  readonly places: readonly Px[]
}

export type FollowStillResult =
  | {
      readonly kind: 'followed'
      readonly frames: readonly number[]
      /** Index of the reference among the frames. */
      readonly referenceIndex: number
      /** One path a feature; NaN where it was not seen. */
      readonly paths: readonly FeaturePath[]
      /** Worst stated uncertainty of each feature's place [px]. */
      readonly u_px: readonly number[]
    }
  /** A marked place that has no contrast in some direction. */
  | { readonly kind: 'no-contrast'; readonly feature: number }
  | NoPixels

/** Half the side of what is compared [px], and how far a feature may go from one frame to the next. */
const half_px = 18
const step_px = 10

/**
 * Follows still features through a clip, each against what it looked like on the reference frame, so that nothing drifts. A frame without a picture
 * is left out; a feature that is covered for a while is looked for again where it was last seen.
 */
export const followStillJob: FrameJob<FollowStillParams, FollowStillResult, { readonly fraction: number }> = async (
  source,
  params,
  context,
) => {
  const { turn_deg, places, reference } = params
  const homes: LumaPatch[] = []
  for (const [feature, at] of places.entries()) {
    const cut = await displayedPatch(source, reference, turn_deg, rectAround([at], half_px), context.signal)
    if (cut.kind !== 'patch') return cut
    if (featureShift(cut.patch, cut.patch).kind === 'no-contrast') return { kind: 'no-contrast', feature }
    homes.push(cut.patch)
  }
  const first = Math.max(0, Math.min(params.first, reference))
  const last = Math.min(source.frames - 1, Math.max(params.last, reference))
  const xs = places.map(() => [] as number[])
  const ys = places.map(() => [] as number[])
  const u_px = places.map(() => 0)
  const guesses = places.map(() => ({ dx: 0, dy: 0 }))
  const frames: number[] = []
  for (let frame = first; frame <= last; frame++) {
    context.report({ fraction: (frame - first) / (last - first + 1) })
    let seen = true
    for (const [i, at] of places.entries()) {
      const guess = guesses[i]!
      const about = { x: at.x + Math.round(guess.dx), y: at.y + Math.round(guess.dy) }
      const now = await displayedPatch(source, frame, turn_deg, rectAround([about], half_px + step_px), context.signal)
      if (now.kind === 'mirrored') return now
      if (now.kind !== 'patch') {
        seen = false
        break
      }
      const shift = featureShift(homes[i]!, now.patch, guess)
      const found = shift.kind === 'shift' && Math.hypot(shift.dx - guess.dx, shift.dy - guess.dy) <= step_px
      xs[i]!.push(found ? at.x + shift.dx : NaN)
      ys[i]!.push(found ? at.y + shift.dy : NaN)
      if (!found) continue
      u_px[i] = Math.max(u_px[i]!, shift.u_px)
      guesses[i] = { dx: shift.dx, dy: shift.dy }
    }
    if (seen) frames.push(frame)
  }
  const paths = xs.map((x, i) => ({ x, y: ys[i]! }))
  return { kind: 'followed', frames, referenceIndex: frames.indexOf(reference), paths, u_px }
}
