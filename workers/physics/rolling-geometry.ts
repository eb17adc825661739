import * as maths from '../elementary/maths.ts'
import { inertiaFactor } from './ball.ts'
import type { BallBody, GuideShape } from './shapes.ts'

/** A place where the ball touches, in the cross-section, relative to the ball's centre [m]. The normal force there is
 *  `share`·m·g·cosθ, along the line from the contact to the centre. */
export interface Contact {
  readonly lateral_m: number
  readonly height_m: number
  readonly share: number
}

/** What the ball rides on. */
export type RidesOn = 'floor' | 'walls' | 'edges' | 'rails' | 'typed'

export interface Rides {
  readonly kind: 'rides'
  readonly on: RidesOn
  /** Distance of the centre from the instantaneous axis of rotation [m]. */
  readonly rollingRadius_m: number
  /** Inertia factor k. */
  readonly k: number
  /** One contact, or two from left to right. For a typed radius: two, or one, that would give it. */
  readonly contacts: readonly Contact[]
  /** Σ of the shares: total normal force over m·g·cosθ; 1 on one contact, above it in a groove. */
  readonly normalForceSum: number
  /** Place of the ball's centre [m] relative to the guide's datum: surface of the flat, apex of a V, midpoint of the edges
   *  of a slot, midpoint of the rails' centres, bottom of a channel. Null for a typed radius. */
  readonly centre: { readonly lateral_m: number; readonly height_m: number } | null
}

/** Why a ball does not ride on a guide, with the values that say so. */
export type DoesNotRide =
  | { readonly kind: 'not-a-size'; readonly which: string; readonly value: number }
  | { readonly kind: 'falls-through'; readonly opening_m: number; readonly diameter_m: number }
  | { readonly kind: 'too-narrow'; readonly channelRadius_m: number; readonly ballRadius_m: number }
  | {
      readonly kind: 'leaves-wall'
      readonly wall: 'left' | 'right'
      readonly roll_rad: number
      readonly limit_rad: number
    }
  | { readonly kind: 'rails-overlap'; readonly centres_m: number; readonly railDiameter_m: number }
  | { readonly kind: 'larger-than-ball'; readonly rollingRadius_m: number; readonly ballRadius_m: number }

export type RollingGeometry = Rides | DoesNotRide

/** How a ball rides on a guide: rolling radius, inertia factor, contacts and their forces.
 *
 *  All guides reduce to one or two contacts at angles φ from straight below the centre. The axis of rotation is parallel to
 *  the line that joins the contacts, so r_e = R·cos((φ₂ − φ₁)/2) whichever way the cross-section is turned; the forces
 *  follow from balance across the lane. Source: geometry of rolling on two contacts; statics. */
export function rollingGeometry(guide: GuideShape, ball: BallBody): RollingGeometry {
  const broken = firstBrokenSize(guide, ball)
  if (broken !== null) return broken
  const R = ball.radius_m
  switch (guide.kind) {
    case 'flat':
      return onFloor(ball, R)
    case 'v-groove':
      return inGroove(guide, ball)
    case 'unequal-v': {
      const half = (guide.left_rad + guide.right_rad) / 2
      const roll = (guide.left_rad - guide.right_rad) / 2
      return onTwo('walls', ball, -(Math.PI / 2 - guide.left_rad), Math.PI / 2 - guide.right_rad, {
        lateral_m: (-R / maths.sin(half)) * maths.sin(roll),
        height_m: (R / maths.sin(half)) * maths.cos(roll),
      })
    }
    case 'two-rails': {
      const { railRadius_m: rail, centres_m: centres } = guide
      if (centres < 2 * rail) return { kind: 'rails-overlap', centres_m: centres, railDiameter_m: 2 * rail }
      const opening = centres - 2 * rail
      if (opening >= 2 * R) return { kind: 'falls-through', opening_m: opening, diameter_m: 2 * R }
      const angle = maths.asin(centres / 2 / (R + rail))
      return onTwo('rails', ball, -angle, angle, { lateral_m: 0, height_m: (R + rail) * maths.cos(angle) })
    }
    case 'slot': {
      const { gap_m: gap, depth_m: depth } = guide
      const sag = gap < 2 * R ? R - Math.sqrt(R * R - (gap * gap) / 4) : Infinity
      if (depth !== undefined && depth <= sag) return onFloor(ball, R - depth)
      if (gap >= 2 * R) return { kind: 'falls-through', opening_m: gap, diameter_m: 2 * R }
      const angle = maths.asin(gap / 2 / R)
      return onTwo('edges', ball, -angle, angle, { lateral_m: 0, height_m: R * maths.cos(angle) })
    }
    case 'channel':
      return inChannel(guide, ball)
    case 'typed': {
      const { rollingRadius_m: r } = guide
      // The last bits of a radius computed elsewhere are no reason to refuse it.
      if (r > R * (1 + 1e-12)) return { kind: 'larger-than-ball', rollingRadius_m: r, ballRadius_m: R }
      const angle = maths.acos(Math.min(1, r / R))
      const geometry = angle === 0 ? onFloor(ball, R) : onTwo('walls', ball, -angle, angle, null)
      return geometry.kind === 'rides' ? { ...geometry, on: 'typed', centre: null } : geometry
    }
  }
}

/** A V ridden on its walls, or on the edges of its mouth where it is too shallow for that. */
function inGroove(guide: Extract<GuideShape, { kind: 'v-groove' }>, ball: BallBody): RollingGeometry {
  const R = ball.radius_m
  const half = guide.included_rad / 2
  const roll = guide.roll_rad ?? 0
  const depth = guide.depth_m ?? Infinity
  const contactHeight = R * (1 / maths.sin(half) - maths.sin(half))
  const isShallow = contactHeight > depth
  const spread = isShallow ? maths.asin((depth * maths.tan(half)) / R) : Math.PI / 2 - half
  const above = isShallow ? depth + R * maths.cos(spread) : R / maths.sin(half)
  return onTwo(isShallow ? 'edges' : 'walls', ball, -spread + roll, spread + roll, {
    lateral_m: -above * maths.sin(roll),
    height_m: above * maths.cos(roll),
  })
}

/** A round channel: the bottom carries a ball smaller than it, its edges a larger one. */
function inChannel(guide: Extract<GuideShape, { kind: 'channel' }>, ball: BallBody): RollingGeometry {
  const R = ball.radius_m
  const { radius_m: radius, depth_m: depth } = guide
  if (R <= radius) return onFloor(ball, R)
  if (depth === undefined) return { kind: 'too-narrow', channelRadius_m: radius, ballRadius_m: R }
  const reach = Math.min(depth, radius)
  const halfWidth = Math.sqrt(radius * radius - (radius - reach) ** 2)
  const angle = maths.asin(halfWidth / R)
  return onTwo('edges', ball, -angle, angle, { lateral_m: 0, height_m: depth + R * maths.cos(angle) })
}

function onFloor(ball: BallBody, height_m: number): Rides {
  const R = ball.radius_m
  return {
    kind: 'rides',
    on: 'floor',
    rollingRadius_m: R,
    k: inertiaFactor(ball, R),
    contacts: [{ lateral_m: 0, height_m: -R, share: 1 }],
    normalForceSum: 1,
    centre: { lateral_m: 0, height_m },
  }
}

/** Two contacts at angles from straight below the centre, left < right. */
function onTwo(on: RidesOn, ball: BallBody, left: number, right: number, centre: Rides['centre']): RollingGeometry {
  const R = ball.radius_m
  const spread = right - left
  const turn = (left + right) / 2
  if (left >= 0) return { kind: 'leaves-wall', wall: 'right', roll_rad: turn, limit_rad: spread / 2 }
  if (right <= 0) return { kind: 'leaves-wall', wall: 'left', roll_rad: turn, limit_rad: spread / 2 }
  const rollingRadius_m = R * maths.cos(spread / 2)
  const leftShare = maths.sin(right) / maths.sin(spread)
  const rightShare = -maths.sin(left) / maths.sin(spread)
  return {
    kind: 'rides',
    on,
    rollingRadius_m,
    k: inertiaFactor(ball, rollingRadius_m),
    contacts: [
      { lateral_m: R * maths.sin(left), height_m: -R * maths.cos(left), share: leftShare },
      { lateral_m: R * maths.sin(right), height_m: -R * maths.cos(right), share: rightShare },
    ],
    normalForceSum: leftShare + rightShare,
    centre,
  }
}

function firstBrokenSize(guide: GuideShape, ball: BallBody): DoesNotRide | null {
  const positive = (which: string, value: number | undefined): DoesNotRide | null =>
    value === undefined || (Number.isFinite(value) && value > 0) ? null : { kind: 'not-a-size', which, value }
  const within = (which: string, value: number, below: number): DoesNotRide | null =>
    value > 0 && value < below ? null : { kind: 'not-a-size', which, value }
  const hollow = ball.hollow ?? 0
  const ballBroken =
    positive('ball radius', ball.radius_m) ??
    (hollow >= 0 && hollow < 1 ? null : { kind: 'not-a-size', which: 'inner over outer radius', value: hollow })
  if (ballBroken !== null) return ballBroken
  switch (guide.kind) {
    case 'flat':
      return null
    case 'v-groove': {
      const roll = guide.roll_rad ?? 0
      return (
        within('included angle', guide.included_rad, Math.PI) ??
        positive('groove depth', guide.depth_m) ??
        (Math.abs(roll) < Math.PI / 2 ? null : { kind: 'not-a-size', which: 'roll angle', value: roll })
      )
    }
    case 'unequal-v':
      return (
        within('left wall angle', guide.left_rad, Math.PI / 2) ??
        within('right wall angle', guide.right_rad, Math.PI / 2)
      )
    case 'two-rails':
      return positive('rail radius', guide.railRadius_m) ?? positive('distance of the rails', guide.centres_m)
    case 'slot':
      return positive('gap', guide.gap_m) ?? positive('slot depth', guide.depth_m)
    case 'channel':
      return positive('channel radius', guide.radius_m) ?? positive('channel depth', guide.depth_m)
    case 'typed':
      return positive('rolling radius', guide.rollingRadius_m)
  }
}
