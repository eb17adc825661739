/** What the ball rides on. Lengths in metres; heights are measured from the ball's centre, + up. */
export type Guide =
  | {
      readonly kind: 'v'
      readonly included_deg: number
      /** Height of the groove's rims, in ball radii (negative: below the centre). */
      readonly rim: number
      readonly lip_m: number
      readonly floor_m: number
    }
  | { readonly kind: 'rods'; readonly rod_radius_m: number; readonly apart_m: number }
  | {
      readonly kind: 'flat'
      readonly width_m: number
      readonly rim: number
      readonly lip_m: number
      readonly floor_m: number
    }
  /** No guide at all: a ball that falls. */
  | { readonly kind: 'none' }

/** Inertia of a solid sphere: I = 2/5 m R². */
const solidSphere = 2 / 5

/** Effective rolling radius [m]: distance of the rolling axis from the line through the contacts.
 *  Source: geometry of one- and two-point contact. Throws when the ball cannot ride there. */
export function rollingRadius(guide: Guide, radius_m: number): number {
  switch (guide.kind) {
    case 'v': {
      const half = (guide.included_deg * Math.PI) / 360
      // The contact lies R sin α below the centre; a rim lower than that leaves the ball on two edges.
      if (guide.rim <= -Math.sin(half)) throw new Error('the groove is too shallow: the ball would ride on its rims')
      return radius_m * Math.sin(half)
    }
    case 'rods': {
      const reach = guide.apart_m / (2 * (radius_m + guide.rod_radius_m))
      if (reach >= 1) throw new Error('the rods are too far apart for this ball')
      return radius_m * Math.sqrt(1 - reach * reach)
    }
    case 'flat':
    case 'none':
      return radius_m
  }
}

/** Inertia factor k = 1 + κ (R / r_e)²: how much heavier a rolling ball is to accelerate. 1 for a falling one. */
export function inertiaFactor(guide: Guide, radius_m: number): number {
  if (guide.kind === 'none') return 1
  const ratio = radius_m / rollingRadius(guide, radius_m)
  return 1 + solidSphere * ratio * ratio
}

/** Cross-section of a wooden lane, as (across, height) from the ball's centre, seen along the direction of travel;
 *  an open chain from the foot of the near side over the groove to the foot of the far side. */
export function profile(
  guide: Exclude<Guide, { kind: 'rods' } | { kind: 'none' }>,
  radius_m: number,
): readonly (readonly [number, number])[] {
  const rim = guide.rim * radius_m
  if (guide.kind === 'flat') {
    const half = guide.width_m / 2
    const outside = half + guide.lip_m
    const foot = -radius_m - guide.floor_m
    return [
      [-outside, foot],
      [-outside, rim],
      [-half, rim],
      [-half, -radius_m],
      [half, -radius_m],
      [half, rim],
      [outside, rim],
      [outside, foot],
    ]
  }
  const half = (guide.included_deg * Math.PI) / 360
  const apex = -radius_m / Math.sin(half)
  const opening = (rim - apex) * Math.tan(half)
  const outside = opening + guide.lip_m
  const foot = apex - guide.floor_m
  return [
    [-outside, foot],
    [-outside, rim],
    [-opening, rim],
    [0, apex],
    [opening, rim],
    [outside, rim],
    [outside, foot],
  ]
}
