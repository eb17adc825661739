import type { SourceBook } from '../fit/estimates.ts'
import { heightReserve_m, lossShare, rollingEnergy_J } from '../physics/energy.ts'
import type { Estimate } from '../record/index.ts'
import type { LaneSetting } from './lane-setting.ts'
import { linearised } from './linearised.ts'

/** What a ball carries at the exit. */
export interface ExitEnergy {
  readonly speed: Estimate
  /** Whole kinetic energy [J]; null where the ball's mass is not known. */
  readonly energy: Estimate | null
  readonly spin_J: number | null
  /** Share of it in spin, (k − 1)/k. */
  readonly spinShare: Estimate
  /** Height of fall that gives the same speed, v²/2g [m]: how hard it hits. */
  readonly drop: Estimate
  /** Height that its whole energy is worth, k·v²/2g [m]: how far it would still climb. */
  readonly climb: Estimate
  /** Share of the height's energy that resistance takes; null on the level. */
  readonly lost: number | null
}

/** Energy at the exit of a further run on average. Source: ½mv² + ½Iω² with ω = v/r_e. */
export function exitEnergy(book: SourceBook, setting: LaneSetting): ExitEnergy | null {
  const { series, k, g_m_s2, mass_kg } = setting
  const speed = series.exit?.typical ?? series.exit?.filmed
  const factor = series.inertiaFactor
  if (!speed || !factor) return null
  const v = speed.value
  const whole = (perSquare: number, unit: string): Estimate =>
    // perSquare·k·v²: doubled by the speed, once by k
    linearised(book, unit, perSquare * k * v * v, [
      { weight: 2 * perSquare * k * v, estimate: speed },
      { weight: perSquare * v * v, estimate: factor },
    ])
  return {
    speed,
    energy: mass_kg === null ? null : whole(mass_kg / 2, 'J'),
    spin_J: mass_kg === null ? null : rollingEnergy_J(mass_kg, k, v).rotation,
    spinShare: linearised(book, '1', (k - 1) / k, [{ weight: 1 / k ** 2, estimate: factor }]),
    drop: linearised(book, 'm', (v * v) / (2 * g_m_s2), [{ weight: v / g_m_s2, estimate: speed }]),
    climb: { ...whole(1 / (2 * g_m_s2), 'm'), value: heightReserve_m(k, v, g_m_s2) },
    lost: lossShare(setting.slope_rad, setting.crr.value),
  }
}
