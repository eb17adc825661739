import * as maths from '../elementary/maths.ts'
import type { SlowSpot } from '../fit/local-resistance.ts'
import { heightReserve_m } from '../physics/energy.ts'
import type { LaneSetting } from './lane-setting.ts'
import { systematicPart } from './linearised.ts'
import { toleranceLimit, type Reliability, type ToleranceLimit } from './tolerance.ts'

/** A needed slope, as a tangent, and what it is made of: its parts add up to it. */
export interface Need {
  readonly kind: 'anywhere' | 'passing' | 'from-rest'
  readonly tangent: number
  /** Actual slope above it, as a tangent; negative: short of it. */
  readonly margin: number
  readonly parts: {
    /** What balls need on average. */
    readonly usual: number
    /** What the scatter of runs or starts adds, so that the stated share is held with the stated confidence. */
    readonly scatter: number
    /** What the worst place adds. */
    readonly spot: number
    /** What scale, time base and, for starts, slope may be wrong by. */
    readonly doubt: number
    /** What the speed that balls bring along saves; not positive. */
    readonly speed: number
  }
}

function need(kind: Need['kind'], parts: Need['parts'], usualMargin: number): Need {
  const extra = parts.scatter + parts.spot + parts.doubt + parts.speed
  return { kind, parts, tangent: parts.usual + extra, margin: usualMargin - extra }
}

/**
 * Slope on which the stated share of moving balls nowhere slows down: C̄_rr + K·s + worst spot + doubt. The lane's slope and C_rr are measured against
 * each other, so the slope's own uncertainty is not in it.
 */
export function neededAnywhere(setting: LaneSetting, limit: ToleranceLimit, spot: SlowSpot | null, sure: number): Need {
  return need(
    'anywhere',
    {
      usual: limit.mean,
      scatter: limit.factor * limit.scatter,
      spot: spot?.excess ?? 0,
      doubt: sure * systematicPart(setting.above),
      speed: 0,
    },
    setting.above.value,
  )
}

/**
 * Slope on which balls that enter no slower than nearly all of those filmed get through, slowing where they must: their energy at the entry has to last to
 * the worst spot and to the exit. ½kv₀² + ∫g(sinθ − c·cosθ)ds > 0.
 */
export function neededPassing(
  setting: LaneSetting,
  limit: ToleranceLimit,
  spot: SlowSpot | null,
  reliability: Reliability,
  sure: number,
): Need {
  const { series, k, g_m_s2, slope_rad } = setting
  const entry = toleranceLimit(
    series.runs.flatMap((run) => (run.entry ? [run.entry.value] : [])),
    reliability,
  )
  const slowest = entry.kind === 'limit' ? Math.max(0, entry.lower) : 0
  const brought_m = heightReserve_m(k, slowest, g_m_s2)
  const cos = maths.cos(slope_rad)
  const entry_m = series.entry!.at_m
  const places = [{ after_m: setting.length_m, lost_m: spot?.lostHeight_m ?? 0 }]
  if (spot && spot.to_m > entry_m) places.push({ after_m: spot.to_m - entry_m, lost_m: spot.lostHeight_m })
  // The place that asks for the greater slope: (lost − brought)/(way along the level).
  const worst = places.reduce((a, b) =>
    (b.lost_m - brought_m) / b.after_m > (a.lost_m - brought_m) / a.after_m ? b : a,
  )
  return need(
    'passing',
    {
      usual: limit.mean,
      scatter: limit.factor * limit.scatter,
      spot: worst.lost_m / (worst.after_m * cos),
      doubt: sure * systematicPart(setting.above),
      speed: -brought_m / (worst.after_m * cos),
    },
    setting.above.value,
  )
}

/**
 * Slope on which the stated share of balls starts by itself, from the tangents of the angles at which they did; null from fewer than three. Those angles
 * are not measured on the lane's own mounting, so its slope's uncertainty counts in full.
 */
export function neededFromRest(
  setting: LaneSetting,
  startTangents: readonly number[],
  reliability: Reliability,
  sure: number,
): Need | null {
  if (startTangents.length < 3) return null
  const limit = toleranceLimit(startTangents, reliability)
  if (limit.kind !== 'limit') return null
  return need(
    'from-rest',
    {
      usual: limit.mean,
      scatter: limit.factor * limit.scatter,
      spot: 0,
      doubt: (sure * setting.slope.u) / maths.cos(setting.slope_rad) ** 2,
      speed: 0,
    },
    maths.tan(setting.slope_rad) - limit.mean,
  )
}
