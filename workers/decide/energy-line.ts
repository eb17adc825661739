import { speedAlong, speedOf } from '../fit/speed-curve.ts'
import type { SourceBook } from '../fit/estimates.ts'
import { normalQuantile } from '../fit/numerics/normal.ts'
import { heightReserve_m } from '../physics/energy.ts'
import type { LaneSetting } from './lane-setting.ts'
import { systematicPart } from './linearised.ts'
import { toleranceLimit, type Reliability } from './tolerance.ts'

/**
 * The lane's profile and, above it, the height that the ball's motion is still worth: k·v²/(2g). Their gap is the reserve; where it is gone, the ball
 * stands. Columns of equal length, heights [m] above the ball's centre at the exit.
 */
export interface EnergyLine {
  readonly at_m: readonly number[]
  readonly profile_m: readonly number[]
  /** Mean of the runs. */
  readonly energy_m: readonly number[]
  /** What the stated share of passages keeps at least, with the stated confidence; null from one run. Never below the profile. */
  readonly least_m: readonly number[] | null
  /** Smallest place: where, the reserve [m] on the mean, and at least (null from one run). */
  readonly smallest: { readonly at_m: number; readonly reserve_m: number; readonly least_m: number | null }
}

/** Energy line between entry and exit; null where the runs' speeds are not known along a common part. */
export function energyLine(book: SourceBook, setting: LaneSetting, reliability: Reliability): EnergyLine | null {
  const { series, k, g_m_s2 } = setting
  const curve = series.speeds
  const at_m: number[] = []
  const profile_m: number[] = []
  const energy_m: number[] = []
  const least_m: number[] = []
  let smallest: EnergyLine['smallest'] | null = null
  const height = (speed: number) => heightReserve_m(k, speed, g_m_s2)
  const sure = normalQuantile(reliability.confidence)
  for (const place of curve.at_m) {
    const speed = speedAlong(book, curve, place)
    const each = curve.motions.flatMap((motion) => speedOf(motion, place) ?? [])
    if (!speed || each.length === 0) continue
    const profile = setting.heightAt(place)
    const reserve = height(speed.value)
    const limit = toleranceLimit(each.map(height), reliability)
    // dh/dv = k·v/g
    const doubt = (sure * systematicPart(speed) * k * speed.value) / g_m_s2
    const least = limit.kind === 'limit' ? Math.max(0, limit.lower - doubt) : null
    at_m.push(place)
    profile_m.push(profile)
    energy_m.push(profile + reserve)
    if (least !== null) least_m.push(profile + least)
    const held = least ?? reserve
    if (!smallest || held < (smallest.least_m ?? smallest.reserve_m))
      smallest = { at_m: place, reserve_m: reserve, least_m: least }
  }
  if (!smallest || at_m.length < 2) return null
  return { at_m, profile_m, energy_m, least_m: least_m.length === at_m.length ? least_m : null, smallest }
}
