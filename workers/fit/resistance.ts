import { resistance, twoWay } from '../physics/motion.ts'
import type { SeriesNumbers } from './evaluate.ts'

/**
 * Equivalent rolling resistance from a motion on a slope, rolling down (`travel` 1) or up (−1) the lane line. Null without slope or guide.
 * Going up is going down a slope of −θ with the acceleration along the travel.
 */
export function resistanceOneWay(n: SeriesNumbers, travel: 1 | -1): number | null {
  if (n.slope_rad === null || n.inertiaFactor === null) return null
  const setting = { slope_rad: travel * n.slope_rad, k: n.inertiaFactor, g_m_s2: n.g_m_s2 }
  return resistance(setting, travel * n.acceleration_m_s2)
}

/**
 * Resistance and slope from both directions on one mounting with one ball; nothing about the slope needs to be known. Null without guide, or
 * when the accelerations ask for more than a vertical lane.
 */
export function resistanceTwoWay(
  down: SeriesNumbers,
  up: SeriesNumbers,
): { readonly crr: number; readonly slope_rad: number } | null {
  if (down.inertiaFactor === null) return null
  // Along the lane line, a ball rolling up is slowed by its positive acceleration.
  const found = twoWay(down.acceleration_m_s2, up.acceleration_m_s2, down.inertiaFactor, down.g_m_s2)
  return found && { crr: found.resistance, slope_rad: found.slope_rad }
}
