import * as maths from '../elementary/maths.ts'
import { type Deviations, type Mounting, type SlowlaneRecord, assertNever, valueOf } from '../record/index.ts'
import { commonFactor } from './independent-parts.ts'
import type { LaneProblem } from './lane-line.ts'
import { type PictureSlopeProblem, pictureSlope } from './picture-slope.ts'
import { sourceId } from './source-ids.ts'

/** How steep a lane is, positive downhill along its line. */
export interface SlopeFound {
  readonly kind: 'slope'
  /** Of the whole lane: the one slope of a straight lane, the drop over the length of a bent one. */
  readonly slope_rad: number
  /** Stretch by stretch, where the slope changes along the lane: `from_m` is where each stretch begins; ends at `end_m`. */
  readonly along: { readonly from_m: Float64Array; readonly slope_rad: Float64Array; readonly end_m: number } | null
}

export type SlopeProblem =
  | { readonly kind: 'slope-unknown' }
  | { readonly kind: 'supports-apart'; readonly apart_m: number; readonly drop_m: number }
  | { readonly kind: 'stations-too-few'; readonly have: number; readonly need: number }
  | { readonly kind: 'stations-order'; readonly s_m: number }
  | { readonly kind: 'stations-too-steep'; readonly fromS_m: number; readonly toS_m: number; readonly drop_m: number }
  | { readonly kind: 'slope-beyond-45'; readonly degrees: number }
  | PictureSlopeProblem
  | LaneProblem

/** Slope of a mounting with the sources moved by `deviations`. */
export function slopeOf(record: SlowlaneRecord, mounting: Mounting, deviations: Deviations): SlopeFound | SlopeProblem {
  const { slope } = mounting
  const { sources } = record
  switch (slope.kind) {
    case 'angle':
      return constant(valueOf(slope.angle_rad, sources, deviations))
    case 'gradient':
      return constant(maths.atan(valueOf(slope.gradient, sources, deviations)))
    case 'heights': {
      const drop_m = valueOf(slope.upper_m, sources, deviations) - valueOf(slope.lower_m, sources, deviations)
      const apart_m = valueOf(slope.apart_m, sources, deviations)
      // Supports are measured along the lane, where the tape lies: the drop over it is the sine.
      if (!(apart_m > Math.abs(drop_m))) return { kind: 'supports-apart', apart_m, drop_m }
      return constant(maths.asin(drop_m / apart_m))
    }
    case 'from-picture':
      return pictureSlope(record, slope.viewId, mounting.laneId, deviations)
    case 'along':
      return alongHeights(record, mounting.id, slope, deviations)
    case 'unknown':
      return { kind: 'slope-unknown' }
    default:
      return assertNever(slope)
  }
}

function constant(slope_rad: number): SlopeFound | SlopeProblem {
  if (!(Math.abs(slope_rad) <= Math.PI / 4 + 1e-3))
    return { kind: 'slope-beyond-45', degrees: (slope_rad * 180) / Math.PI }
  return { kind: 'slope', slope_rad, along: null }
}

export const stationSourceId = (mountingId: string, i: number): string => sourceId('height', mountingId, String(i))

function alongHeights(
  record: SlowlaneRecord,
  mountingId: string,
  slope: Extract<Mounting['slope'], { kind: 'along' }>,
  deviations: Deviations,
): SlopeFound | SlopeProblem {
  const n = slope.stations.length
  if (n < 2) return { kind: 'stations-too-few', have: n, need: 2 }
  const factor = commonFactor(slope.height_m, record, deviations)
  const height = slope.stations.map((station, i) => {
    return factor * (station.height_m + (deviations.get(stationSourceId(mountingId, i)) ?? 0))
  })
  const from_m = new Float64Array(n - 1)
  const slope_rad = new Float64Array(n - 1)
  for (let i = 0; i < n - 1; i++) {
    const fromS_m = slope.stations[i]!.s_m
    const toS_m = slope.stations[i + 1]!.s_m
    if (!(toS_m > fromS_m)) return { kind: 'stations-order', s_m: toS_m }
    const drop_m = height[i]! - height[i + 1]!
    if (!(Math.abs(drop_m) <= (toS_m - fromS_m) * Math.SQRT1_2))
      return { kind: 'stations-too-steep', fromS_m, toS_m, drop_m }
    from_m[i] = fromS_m
    slope_rad[i] = maths.asin(drop_m / (toS_m - fromS_m))
  }
  const end_m = slope.stations[n - 1]!.s_m
  const whole = maths.asin((height[0]! - height[n - 1]!) / (end_m - from_m[0]!))
  return { kind: 'slope', slope_rad: whole, along: { from_m, slope_rad, end_m } }
}

/** Slope [rad] at arc length s; beyond either end that of the end stretch. */
export function slopeAt(slope: SlopeFound, s_m: number): number {
  if (!slope.along) return slope.slope_rad
  const { from_m, slope_rad } = slope.along
  let i = 0
  while (i + 1 < from_m.length && from_m[i + 1]! <= s_m) i++
  return slope_rad[i]!
}

/** Slope [rad] whose sine is the drop between two places over the arc length between them: what acts on a ball on that stretch. */
export function slopeBetween(slope: SlopeFound, a_m: number, b_m: number): number {
  if (!slope.along || a_m === b_m) return slopeAt(slope, a_m)
  return maths.asin((dropAt(slope.along, b_m) - dropAt(slope.along, a_m)) / (b_m - a_m))
}

function dropAt(along: NonNullable<SlopeFound['along']>, s_m: number): number {
  const { from_m, slope_rad } = along
  let drop = maths.sin(slope_rad[0]!) * Math.min(0, s_m - from_m[0]!)
  for (let i = 0; i < from_m.length; i++) {
    const end = i + 1 < from_m.length ? from_m[i + 1]! : Infinity
    drop += maths.sin(slope_rad[i]!) * Math.max(0, Math.min(s_m, end) - from_m[i]!)
  }
  return drop
}
