import * as maths from '../elementary/maths.ts'

/** What sets the acceleration of a rolling ball: slope of the path of its centre [rad], positive downhill in the direction of
 *  travel; inertia factor k; gravity [m/s²]. */
export interface RollingSetting {
  readonly slope_rad: number
  readonly k: number
  readonly g_m_s2: number
}

/** Acceleration [m/s²] of a ball that rolls against an equivalent resistance c: g(sinθ − c·cosθ)/k.
 *  Source: Newton's second law with I = κmR² and no slip; for c = 0 on the flat the textbook 5/7·g·sinθ. */
export function acceleration_m_s2({ slope_rad, k, g_m_s2 }: RollingSetting, resistance: number): number {
  return (g_m_s2 * (maths.sin(slope_rad) - resistance * maths.cos(slope_rad))) / k
}

/** Equivalent resistance c = tanθ − k·a/(g·cosθ) from a measured acceleration [m/s²]. Never clipped: a negative value says
 *  that something given is wrong. Inverse of `acceleration_m_s2`. */
export function resistance({ slope_rad, k, g_m_s2 }: RollingSetting, measured_m_s2: number): number {
  return maths.tan(slope_rad) - (k * measured_m_s2) / (g_m_s2 * maths.cos(slope_rad))
}

/** The derivatives of `resistance` by each of its inputs, at a measured acceleration. */
export function resistanceSensitivities(
  { slope_rad, k, g_m_s2 }: RollingSetting,
  measured_m_s2: number,
): {
  readonly bySlope_per_rad: number
  readonly byAcceleration_s2_m: number
  readonly byK: number
  readonly byG_s2_m: number
} {
  const cos = maths.cos(slope_rad)
  const force = (k * measured_m_s2) / (g_m_s2 * cos)
  return {
    bySlope_per_rad: 1 / cos ** 2 - force * maths.tan(slope_rad),
    byAcceleration_s2_m: -k / (g_m_s2 * cos),
    byK: -measured_m_s2 / (g_m_s2 * cos),
    byG_s2_m: force / g_m_s2,
  }
}

/** Acceleration [m/s²] without any resistance: the most a rolling ball can reach on this slope. */
export function freeRolling_m_s2(setting: RollingSetting): number {
  return acceleration_m_s2(setting, 0)
}

/** Angle [rad] at which a ball of resistance c keeps its speed: arctan c. */
export function balanceSlope_rad(equivalentResistance: number): number {
  return maths.atan(equivalentResistance)
}

/** Slope and resistance from one lane run down and up at one fixing, |a| of both measured along the same stretch [m/s²].
 *  `up_m_s2` is the deceleration on the way up, positive. Null when the two accelerations ask for a sine above 1.
 *  Source: sum and difference of g(sinθ ∓ c·cosθ)/k. */
export function twoWay(
  down_m_s2: number,
  up_m_s2: number,
  k: number,
  g_m_s2: number,
): { readonly slope_rad: number; readonly resistance: number } | null {
  const sine = (k * (up_m_s2 + down_m_s2)) / (2 * g_m_s2)
  if (!(Math.abs(sine) < 1)) return null
  const slope_rad = maths.asin(sine)
  return { slope_rad, resistance: (k * (up_m_s2 - down_m_s2)) / (2 * g_m_s2 * maths.cos(slope_rad)) }
}

/** Acceleration [m/s²] where the guide changes along the lane: the centre's path has slope θ and the inertia factor grows by
 *  dk/ds [1/m]. [g(sinθ − c·cosθ) − ½v²·dk/ds]/k. Source: time derivative of ½k·v² along the path. */
export function accelerationInChangingGuide_m_s2(
  setting: RollingSetting,
  equivalentResistance: number,
  speed_m_s: number,
  inertiaFactorGrowth_per_m: number,
): number {
  return (
    acceleration_m_s2(setting, equivalentResistance) - (speed_m_s ** 2 * inertiaFactorGrowth_per_m) / (2 * setting.k)
  )
}
