import type { SourceBook } from '../fit/estimates.ts'
import { acceleration_m_s2 } from '../physics/motion.ts'
import type { Estimate } from '../record/index.ts'
import type { LaneSetting } from './lane-setting.ts'
import { linearised } from './linearised.ts'

/** A change of a lane: another slope [rad], and with another groove or finish also another resistance, inertia factor or both. */
export interface Change {
  readonly slope_rad: number
  readonly crr?: number
  readonly k?: number
  /** Standard uncertainty of the sine of the change, from washers and the place of supports. */
  readonly sine_u?: number
}

/** What a changed lane will do with balls that enter as fast as before. */
export interface ChangedLane {
  readonly kind: 'changed'
  readonly slope_rad: number
  readonly exit: Estimate
  /** Time from entry to exit [s]. */
  readonly transit_s: number
  /** Whole kinetic energy at the exit, against now. */
  readonly energyRatio: number
  readonly energy_J: number | null
  /** Spacing of balls at the exit, against now: it grows with the speed there. */
  readonly spacingRatio: number
}
export type BallStops = { readonly kind: 'stops'; readonly slope_rad: number; readonly way_m: number }

/**
 * Motion after a change, from the measured motion before it: v′² = v² + 2L(a′ − a), so that what is measured is kept and only the difference is
 * computed. Exit speed as expected of a further run on average.
 */
export function changedLane(book: SourceBook, setting: LaneSetting, change: Change): ChangedLane | BallStops {
  const { series, g_m_s2, k, length_m: L } = setting
  const exit = series.exit!.typical ?? series.exit!.filmed
  const entry = (series.entry!.typical ?? series.entry!.filmed).value
  const newK = change.k ?? k
  const now = acceleration_m_s2({ slope_rad: setting.slope_rad, k, g_m_s2 }, setting.crr.value)
  const then = acceleration_m_s2({ slope_rad: change.slope_rad, k: newK, g_m_s2 }, change.crr ?? setting.crr.value)
  const v = exit.value
  const square = v * v + 2 * L * (then - now)
  if (!(square > 0))
    return { kind: 'stops', slope_rad: change.slope_rad, way_m: (entry * entry) / (2 * Math.abs(then)) }
  const after = Math.sqrt(square)
  const ratio = (newK * square) / (k * v * v)
  const energy = setting.mass_kg === null ? null : (newK * setting.mass_kg * square) / 2
  // v′²/v² − 1 carries 1/k; the washers act through g·L·δ(sin θ)/(k·v′).
  const own = change.sine_u ? [(g_m_s2 * L * change.sine_u) / (newK * after)] : []
  const factor = series.inertiaFactor
  return {
    kind: 'changed',
    slope_rad: change.slope_rad,
    exit: linearised(
      book,
      'm/s',
      after,
      [
        { weight: v / after, estimate: exit },
        ...(factor ? [{ weight: -(square - v * v) / (2 * newK * after), estimate: factor }] : []),
      ],
      own,
    ),
    transit_s: (series.transit?.value ?? (2 * L) / (entry + v)) * ((entry + v) / (entry + after)),
    energyRatio: ratio,
    energy_J: energy,
    spacingRatio: after / v,
  }
}
