import * as maths from '../elementary/maths.ts'
import { inertiaFactor } from './ball.ts'
import { rollingGeometry, type DoesNotRide } from './rolling-geometry.ts'
import type { BallBody, GuideShape } from './shapes.ts'

/** What a guide that changes evenly along its length does to a ball, at one place. */
export interface GuideChange {
  readonly kind: 'changes'
  readonly rollingRadius_m: number
  readonly k: number
  /** dk/ds [1/m]. */
  readonly kGrowth_per_m: number
  /** Slope [rad] of the centre's path that the change adds to that of the guide, positive where the ball sinks. */
  readonly addedSlope_rad: number
}

/** A guide that passes evenly from one shape at s = 0 to another of the same kind at s = `length_m`, looked at in place s.
 *
 *  `guideAt` gives the shape at a place; the centre's height is differentiated over a thousandth of the length.
 *  Source: path of the centre follows from the geometry of the contacts. */
export function guideChange(
  guideAt: (s_m: number) => GuideShape,
  ball: BallBody,
  length_m: number,
  s_m: number,
): GuideChange | DoesNotRide | { readonly kind: 'no-height'; readonly guide: GuideShape['kind'] } {
  const step = length_m / 1000
  const before = rollingGeometry(guideAt(s_m - step), ball)
  const here = rollingGeometry(guideAt(s_m), ball)
  const after = rollingGeometry(guideAt(s_m + step), ball)
  if (before.kind !== 'rides') return before
  if (here.kind !== 'rides') return here
  if (after.kind !== 'rides') return after
  if (before.centre === null || after.centre === null) return { kind: 'no-height', guide: guideAt(s_m).kind }
  return {
    kind: 'changes',
    rollingRadius_m: here.rollingRadius_m,
    k: here.k,
    kGrowth_per_m:
      (inertiaFactor(ball, after.rollingRadius_m) - inertiaFactor(ball, before.rollingRadius_m)) / (2 * step),
    addedSlope_rad: maths.atan((before.centre.height_m - after.centre.height_m) / (2 * step)),
  }
}
