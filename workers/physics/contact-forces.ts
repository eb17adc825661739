import * as maths from '../elementary/maths.ts'
import type { Contact, Rides } from './rolling-geometry.ts'

/** Normal forces [N] at the contacts of a ball of given mass on a slope, in the order of `geometry.contacts`. These are the
 *  forces of a ball that rolls: friction at walls may hold larger ones while it stands. */
export function normalForces_N(
  geometry: Rides,
  setting: { readonly mass_kg: number; readonly slope_rad: number; readonly g_m_s2: number },
): number[] {
  const weight = setting.mass_kg * setting.g_m_s2 * maths.cos(setting.slope_rad)
  return geometry.contacts.map(({ share }) => share * weight)
}

/** Normal forces over m·g in a level bend: `lateral_g` = v²/(ρ·g), positive when the centre of the bend lies to the right.
 *
 *  `leaves-guide` when one of two contacts would have to pull, or when a flat floor has nothing to hold the ball in the bend.
 *  Source: balance of forces across the lane with the centripetal acceleration v²/ρ. */
export function bendForces(
  geometry: Rides,
  lateral_g: number,
):
  | { readonly kind: 'holds'; readonly shares: readonly number[] }
  | { readonly kind: 'leaves-guide'; readonly limit_g: number } {
  const [left, right] = geometry.contacts
  if (left === undefined || right === undefined)
    return lateral_g === 0 ? { kind: 'holds', shares: [1] } : { kind: 'leaves-guide', limit_g: 0 }
  const spread = angleOf(right) - angleOf(left)
  // The ball presses as if gravity leaned by arctan(lateral_g) away from the centre of the bend.
  const lean = -maths.atan(lateral_g)
  const pull = maths.hypot(1, lateral_g)
  const shares = [
    (pull * maths.sin(angleOf(right) - lean)) / maths.sin(spread),
    (pull * maths.sin(lean - angleOf(left))) / maths.sin(spread),
  ]
  if (shares.every((share) => share > 0)) return { kind: 'holds', shares }
  return { kind: 'leaves-guide', limit_g: maths.tan(lateral_g > 0 ? -angleOf(left) : angleOf(right)) }
}

/** Angle [rad] of a contact from straight below the centre, positive to the right. */
export function angleOf({ lateral_m, height_m }: Contact): number {
  return maths.atan2(lateral_m, -height_m)
}

/** Equivalent resistance from what happens at each contact: a rolling couple b·N and a pivot couple λ·N, both arms in metres.
 *
 *  Source: power lost at the contacts per metre of way; for a symmetric groove b/(R·sinα) + λ·cosα/(R·sin²α). */
export function resistanceOfContacts(
  geometry: Rides,
  radius_m: number,
  arms: { readonly rolling_m: number; readonly pivot_m: number },
): number {
  const cosine = geometry.rollingRadius_m / radius_m
  const sine = Math.sqrt(Math.max(0, 1 - cosine * cosine))
  return (geometry.normalForceSum * (arms.rolling_m * cosine + arms.pivot_m * sine)) / geometry.rollingRadius_m
}

/** Pivot arm λ [m] of a sphere pressed on a plane: (3π/16)·μ·a with a = (3NR/4E*)^⅓ the radius of the contact circle.
 *  N [N], R [m], E* [Pa] combined modulus. Source: Hertz pressure and Coulomb friction integrated over the circle, K. L.
 *  Johnson, Contact Mechanics (1985), ch. 4 and 8 (from memory). */
export function hertzPivotArm_m(
  normalForce_N: number,
  radius_m: number,
  combinedModulus_Pa: number,
  friction: number,
): number {
  const circle = maths.cbrt((3 * normalForce_N * radius_m) / (4 * combinedModulus_Pa))
  return ((3 * Math.PI) / 16) * friction * circle
}
