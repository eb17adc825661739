import * as maths from '../elementary/maths.ts'
import type { LaneSetting } from './lane-setting.ts'
import { systematicPart } from './linearised.ts'
import type { Need } from './needed-slope.ts'
import { toleranceLimit, type Reliability } from './tolerance.ts'

/** Slopes [rad] at which the lane neither stalls a ball nor lets it go faster than wanted, on the scale of the actual slope. */
export interface SlopeWindow {
  readonly least_rad: number
  /** Null where no greatest exit speed is wanted. */
  readonly greatest_rad: number | null
  readonly actual_rad: number
  /**
   * `no-window`: the lane would have to be flatter than it must be steep. `cannot-be-gentle`: even a level lane gives balls that fast.
   */
  readonly state: 'within' | 'too-flat' | 'too-steep' | 'no-window' | 'cannot-be-gentle'
}

/** Window from a need and the greatest exit speed [m/s] that is wanted, both held for the stated share with the stated confidence. */
export function slopeWindow(
  setting: LaneSetting,
  least: Need,
  gentle_m_s: number | null,
  reliability: Reliability,
  sure: number,
): SlopeWindow {
  const actual_rad = setting.slope_rad
  const least_rad = maths.atan(maths.tan(actual_rad) - least.margin)
  const sine = gentle_m_s === null ? null : greatestSine(setting, gentle_m_s, reliability, sure)
  if (sine === null)
    return { least_rad, greatest_rad: null, actual_rad, state: least.margin < 0 ? 'too-flat' : 'within' }
  if (sine <= 0) return { least_rad, greatest_rad: null, actual_rad, state: 'cannot-be-gentle' }
  const greatest_rad = maths.asin(Math.min(1, sine))
  const state =
    greatest_rad < least_rad
      ? 'no-window'
      : least.margin < 0
        ? 'too-flat'
        : actual_rad > greatest_rad
          ? 'too-steep'
          : 'within'
  return { least_rad, greatest_rad, actual_rad, state }
}

/** sin θ + k(v_max² − v²)/(2gL), v² the limit of the squares of the exit speeds; the entry speed stays as filmed. Source: v² = v₀² + 2aL. */
function greatestSine(setting: LaneSetting, gentle_m_s: number, reliability: Reliability, sure: number): number | null {
  const { series, k, g_m_s2, length_m, slope_rad } = setting
  const limit = toleranceLimit(
    series.runs.flatMap((run) => (run.exit ? [run.exit.value ** 2] : [])),
    reliability,
  )
  const exit = series.exit?.filmed
  if (limit.kind !== 'limit' || !exit) return null
  const fastest = limit.upper + sure * systematicPart(exit) * 2 * exit.value
  return maths.sin(slope_rad) + (k * (gentle_m_s ** 2 - fastest)) / (2 * g_m_s2 * length_m)
}
