import * as maths from '../elementary/maths.ts'
import { acceleration_m_s2, type RollingSetting } from './motion.ts'

/** What leaves the end of a straight lane. */
export interface LaneExit {
  readonly speed_m_s: number
  readonly time_s: number
  readonly acceleration_m_s2: number
}

/** Exit from a lane of length L [m] entered at v₀ [m/s]; `stops` with the way [m] where the ball comes to rest before it.
 *  Source: v² = v₀² + 2aL. */
export function laneExit(
  setting: RollingSetting,
  equivalentResistance: number,
  length_m: number,
  entry_m_s: number,
): ({ readonly kind: 'leaves' } & LaneExit) | { readonly kind: 'stops'; readonly way_m: number } {
  const a = acceleration_m_s2(setting, equivalentResistance)
  const square = entry_m_s ** 2 + 2 * a * length_m
  if (square < 0 || (entry_m_s === 0 && a <= 0))
    return { kind: 'stops', way_m: entry_m_s === 0 ? 0 : -(entry_m_s ** 2) / (2 * a) }
  const speed_m_s = Math.sqrt(square)
  // 2L/(v₀ + v) holds for any acceleration, 0 included.
  return { kind: 'leaves', speed_m_s, time_s: (2 * length_m) / (entry_m_s + speed_m_s), acceleration_m_s2: a }
}

/** Kinetic energy of a rolling ball [J] and its two parts. */
export function rollingEnergy_J(
  mass_kg: number,
  k: number,
  speed_m_s: number,
): { readonly total: number; readonly translation: number; readonly rotation: number } {
  const translation = (mass_kg * speed_m_s ** 2) / 2
  return { total: translation * k, translation, rotation: translation * (k - 1) }
}

/** Energy balance [J] along a lane of length L: what the height gives, what resistance takes, what motion gains. */
export function energyBalance_J(
  setting: RollingSetting,
  equivalentResistance: number,
  mass_kg: number,
  length_m: number,
): { readonly fromHeight: number; readonly lost: number; readonly gained: number } {
  const weight = mass_kg * setting.g_m_s2
  const fromHeight = weight * length_m * maths.sin(setting.slope_rad)
  const lost = weight * length_m * maths.cos(setting.slope_rad) * equivalentResistance
  return { fromHeight, lost, gained: fromHeight - lost }
}

/** Share c/tanθ of the height's energy that resistance takes; null on the level, where height gives none. */
export function lossShare(slope_rad: number, equivalentResistance: number): number | null {
  return slope_rad === 0 ? null : equivalentResistance / maths.tan(slope_rad)
}

/** Change of exit speed per change of resistance [m/s]: −g·L·cosθ/(k·v). */
export function exitSpeedSlope_m_s(setting: RollingSetting, length_m: number, exit_m_s: number): number {
  return (-setting.g_m_s2 * length_m * maths.cos(setting.slope_rad)) / (setting.k * exit_m_s)
}

/** Height [m] a rolling ball could still climb without loss: k·v²/(2g). */
export function heightReserve_m(k: number, speed_m_s: number, g_m_s2: number): number {
  return (k * speed_m_s ** 2) / (2 * g_m_s2)
}
