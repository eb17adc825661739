import * as maths from '../elementary/maths.ts'

/** Passing a joint: least slope to start over it from rest, share of speed kept when moving, least speed to get over. */
export interface ObstaclePassage {
  /** Slope [rad] from which a resting ball gets over by itself. */
  readonly startSlope_rad: number
  readonly speedRatio: number
  /** Speed [m/s] below which a moving ball does not get over on the level. */
  readonly leastSpeed_m_s: number
}

/** A gap of width w across a flat lane, w < 2R. Null when the ball falls in.
 *
 *  The ball sinks between the edges and meets the far one: speed along the lane changes by (cos2δ + κ)/(1 + κ) with
 *  sinδ = w/2R, and it must climb out again by R(1 − cosδ).
 *  Source: angular momentum about the far edge in an inelastic impact. */
export function gapPassage(
  width_m: number,
  radius_m: number,
  momentRatio: number,
  g_m_s2: number,
): ObstaclePassage | null {
  const sine = width_m / (2 * radius_m)
  if (!(sine >= 0 && sine < 1)) return null
  const delta = maths.asin(sine)
  const speedRatio = (maths.cos(2 * delta) + momentRatio) / (1 + momentRatio)
  if (speedRatio <= 0) return { startSlope_rad: delta, speedRatio: 0, leastSpeed_m_s: Infinity }
  // The ball gains 2g·drop/(1 + κ) on its way down and must keep as much after the impact to climb the same height.
  const gained = (2 * g_m_s2 * radius_m * (1 - maths.cos(delta))) / (1 + momentRatio)
  const leastSpeed_m_s = Math.sqrt(Math.max(0, gained / speedRatio ** 2 - gained))
  return { startSlope_rad: delta, speedRatio, leastSpeed_m_s }
}

/** A step up of height h on a flat lane, h < R. Null for a higher one.
 *
 *  Speed after the impact 1 − h/((1 + κ)R); needs v > √(2gh/(1 + κ))/(1 − h/((1 + κ)R)); from rest cosθ < 1 − h/R.
 *  Source: angular momentum about the step's edge in an inelastic impact, then energy up to its top. */
export function stepPassage(
  height_m: number,
  radius_m: number,
  momentRatio: number,
  g_m_s2: number,
): ObstaclePassage | null {
  if (!(height_m >= 0 && height_m < radius_m)) return null
  const speedRatio = 1 - height_m / ((1 + momentRatio) * radius_m)
  return {
    startSlope_rad: maths.acos(1 - height_m / radius_m),
    speedRatio,
    leastSpeed_m_s: Math.sqrt((2 * g_m_s2 * height_m) / (1 + momentRatio)) / speedRatio,
  }
}
