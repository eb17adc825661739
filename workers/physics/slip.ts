import * as maths from '../elementary/maths.ts'
import { acceleration_m_s2, type RollingSetting } from './motion.ts'
import type { Rides } from './rolling-geometry.ts'

/** Least coefficient of friction with which the ball rolls without slipping on a slope.
 *
 *  The traction m(g·sinθ − a) is shared equally by two contacts, since the ball does not turn about the vertical; the one
 *  with the smaller normal force slips first. Source: statics of the rolling ball; for a symmetric groove without resistance
 *  it is tanθ·κs/(s² + κ), s = r_e/R. */
export function leastFriction(
  geometry: Rides,
  setting: { readonly slope_rad: number; readonly g_m_s2: number },
  equivalentResistance = 0,
): number {
  const full: RollingSetting = { ...setting, k: geometry.k }
  const traction = setting.g_m_s2 * maths.sin(setting.slope_rad) - acceleration_m_s2(full, equivalentResistance)
  const weight = setting.g_m_s2 * maths.cos(setting.slope_rad)
  const smallest = Math.min(...geometry.contacts.map(({ share }) => share))
  return Math.abs(traction) / (weight * smallest * geometry.contacts.length)
}

/** Acceleration [m/s²] of a ball that slips at all contacts: g(sinθ − μ·cosθ·ΣN/(m·g·cosθ)), while it moves downhill. */
export function fullSlip_m_s2(
  geometry: Rides,
  setting: { readonly slope_rad: number; readonly g_m_s2: number },
  friction: number,
): number {
  return (
    setting.g_m_s2 * (maths.sin(setting.slope_rad) - friction * maths.cos(setting.slope_rad) * geometry.normalForceSum)
  )
}
