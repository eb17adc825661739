import * as maths from '../elementary/maths.ts'
import { sourceStep, type SourceBook } from '../fit/estimates.ts'
import { ballBody } from '../fit/guide-numbers.ts'
import type { LaneResult, SeriesResult } from '../fit/results.ts'
import { slopeBetween, slopeOf, type SlopeFound } from '../measure/slope.ts'
import { massFromDensity_kg } from '../physics/ball.ts'
import { noDeviations, valueOf, type Estimate, type SlowlaneRecord } from '../record/index.ts'
import { runValues } from './compare.ts'
import { linearised } from './linearised.ts'

/** What a lane in a finish does with a ball going down, as numbers that margin, shim and flow start from. */
export interface LaneSetting {
  readonly kind: 'setting'
  readonly result: LaneResult
  readonly series: SeriesResult
  readonly g_m_s2: number
  readonly k: number
  readonly slope_rad: number
  /** Of the mounting, as measured; from both directions where it was not. */
  readonly slope: Estimate
  readonly radius_m: number
  readonly mass_kg: number | null
  readonly crr: Estimate
  /** C_rr run by run. */
  readonly crrPerRun: readonly number[]
  /**
   * tan θ − C_rr = k·a/(g·cos θ): how far the slope is above the one at which the ball just keeps its speed. The slope's own uncertainty is not in it,
   * since it moves both alike.
   */
  readonly above: Estimate
  /** Between entry and exit [m]. */
  readonly length_m: number
  /** Height [m] of the ball's centre at a place above that at the exit. */
  readonly heightAt: (s_m: number) => number
}

export type NoSetting =
  | { readonly kind: 'no-runs-down' }
  | { readonly kind: 'no-resistance' }
  | { readonly kind: 'no-stretch' }
  | { readonly kind: 'climbs'; readonly slope_rad: number }

/** The setting of a lane and finish; `ballId` none: that of the main series. */
export function laneSetting(record: SlowlaneRecord, book: SourceBook, result: LaneResult): LaneSetting | NoSetting {
  const series = result.main === null ? undefined : result.series[result.main]
  if (!series || series.travel !== 1) return { kind: 'no-runs-down' }
  const way = result.ways.find((one) => one.kind === 'two-way' && one.mountingIds.includes(series.mountingId))
  const slope = series.slope ?? way?.slope ?? null
  if (slope && slope.value < 0) return { kind: 'climbs', slope_rad: slope.value }
  const crr = series.crr ?? way?.crr ?? null
  const factor = series.inertiaFactor
  const ball = record.balls[series.ballId]
  if (!slope || !crr || !factor || !ball) return { kind: 'no-resistance' }
  if (!series.entry || !series.exit) return { kind: 'no-stretch' }
  const read = (stated: Parameters<typeof valueOf>[0]) => valueOf(stated, record.sources, noDeviations)
  const gravity = record.settings.gravity.g_m_s2
  const g_m_s2 = read(gravity)
  const k = factor.value
  const cos = maths.cos(slope.value)
  const a = series.acceleration
  const above = (k * a.value) / (g_m_s2 * cos)
  const body = ballBody(ball, read)
  const found = slopeOf(record, record.mountings[series.mountingId]!, noDeviations)
  const exit_m = series.exit.at_m
  return {
    kind: 'setting',
    result,
    series,
    g_m_s2,
    k,
    slope_rad: slope.value,
    slope,
    radius_m: body.radius_m,
    mass_kg: ball.mass_kg
      ? read(ball.mass_kg)
      : ball.density_kg_m3
        ? massFromDensity_kg(body, read(ball.density_kg_m3))
        : null,
    crr,
    crrPerRun: runValues({ ...series, crr, slope }, 'crr', g_m_s2),
    above: linearised(
      book,
      '1',
      above,
      [
        { weight: k / (g_m_s2 * cos), estimate: a },
        { weight: a.value / (g_m_s2 * cos), estimate: factor },
      ],
      [],
      new Map(gravity.sources.map((id) => [id, (-above / g_m_s2) * sourceStep(book, id)])),
    ),
    length_m: exit_m - series.entry.at_m,
    heightAt: heights(found.kind === 'slope' ? found : null, slope.value, exit_m),
  }
}

function heights(found: SlopeFound | null, slope_rad: number, exit_m: number): (s_m: number) => number {
  return (s_m) => (exit_m - s_m) * maths.sin(found ? slopeBetween(found, s_m, exit_m) : slope_rad)
}
