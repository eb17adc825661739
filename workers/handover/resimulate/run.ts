import * as maths from '../../elementary/maths.ts'
import { linearised } from '../../decide/linearised.ts'
import type { SourceBook } from '../../fit/estimates.ts'
import type { LaneResult, RunResult, SeriesResult } from '../../fit/results.ts'
import { speedOf, type Motion } from '../../fit/speed-curve.ts'
import type { Estimate, SlowlaneRecord } from '../../record/index.ts'
import { whyNoFriction } from '../simulators/sentences.ts'
import { laneFriction, type LaneFriction } from '../simulators/lane-friction.ts'
import { roll, stateAtTime, timeOfPlace, type RollingEnd, type RollingLaw } from './integrate.ts'
import { laneLaw, type Along } from './lane-law.ts'

/** A measured run, rolled once more with the values that are handed over. Columns of equal length; places along the lane line, times on the clip's clock. */
export interface Resimulation {
  readonly kind: 'resimulated'
  readonly runId: string
  readonly along: Along
  readonly t_s: readonly number[]
  readonly s_m: readonly number[]
  /** Along the travel: positive while the ball goes its way. */
  readonly v_m_s: readonly number[]
  readonly end: RollingEnd
  /** Where and when the re-simulation sets off: place and speed of the run's own fit at one of its first marks. */
  readonly start: { readonly t_s: number; readonly s_m: number; readonly v_m_s: number }
  /** At the marks from the start on. `residual_m`: mark minus re-simulation, along the lane line. */
  readonly atMarks: {
    readonly t_s: readonly number[]
    readonly measured_m: readonly number[]
    readonly simulated_m: readonly number[]
    readonly residual_m: readonly number[]
    readonly sigma_m: readonly number[]
    /** Indices into the run's marks. */
    readonly mark: readonly number[]
  }
  readonly rms_m: number
  readonly largest_m: number
  /** From entry to exit [s]; null where the lane has no common stretch or the ball does not get there. */
  readonly transit: {
    readonly measured: Estimate
    /** Its ± follows from those of the acceleration and the entry speed. */
    readonly simulated: Estimate
    /** Simulated over measured. */
    readonly ratio: number
  } | null
}

export interface NotResimulated {
  readonly kind: 'not-resimulated'
  readonly runId: string
  readonly why: string
}

/** Rolls a run once more from the place and speed of its own fit to the lane's end, by the resistance that is handed over. */
export function resimulateRun(
  record: SlowlaneRecord,
  book: SourceBook,
  result: LaneResult,
  runId: string,
  along: Along = 'one-value',
  friction: LaneFriction = laneFriction(record, book, result),
): Resimulation | NotResimulated {
  const not = (why: string): NotResimulated => ({ kind: 'not-resimulated', runId, why })
  const { series } = friction
  const index = series?.runs.findIndex((run) => run.runId === runId) ?? -1
  const run = series?.runs[index]
  if (!series || !run)
    return not(
      'This run is not among those that the handed-over values come from: it has no result, or goes the other way.',
    )
  const law = laneLaw(friction, along)
  if (!law) return not(whyNoFriction(friction))
  const start = startOf(series, run, index)
  if (!start)
    return not('The fit of this run tells no speed at its first marks, so there is nothing to set the ball off with.')
  const { travel } = series
  const { t_s, s_m, sigma_m, mark } = run.residuals
  const last = s_m[s_m.length - 1]!
  const lineEnd_m = travel === 1 ? (friction.length_m ?? last) : 0
  const until_m = Math.max(travel * lineEnd_m, travel * last, travel * (series.exit?.at_m ?? last))
  // A ball that crawls is followed for ten times as long as it was filmed.
  const longest_s = 10 * Math.max(t_s[t_s.length - 1]! - start.t_s, 0.1)
  const first = { t_s: start.t_s, s_m: travel * start.s_m, v_m_s: start.v_m_s }
  const rolled = roll(law, first, { until_m, longest_s })
  const from = start.index
  const simulated_m = t_s.slice(from).map((t) => travel * stateAtTime(rolled, t).s_m)
  const residual_m = simulated_m.map((s, i) => s_m[from + i]! - s)
  return {
    kind: 'resimulated',
    runId,
    along,
    t_s: rolled.t_s,
    s_m: rolled.s_m.map((s) => travel * s),
    v_m_s: rolled.v_m_s,
    end: rolled.end,
    start: { t_s: start.t_s, s_m: start.s_m, v_m_s: start.v_m_s },
    atMarks: {
      t_s: t_s.slice(from),
      measured_m: s_m.slice(from),
      simulated_m,
      residual_m,
      sigma_m: sigma_m.slice(from),
      mark: mark.slice(from),
    },
    rms_m: Math.sqrt(residual_m.reduce((sum, r) => sum + r * r, 0) / residual_m.length),
    largest_m: residual_m.reduce((most, r) => Math.max(most, Math.abs(r)), 0),
    transit: transitOf(book, series, run, law),
  }
}

/** Every run of the series that the values come from. */
export function resimulateLane(
  record: SlowlaneRecord,
  book: SourceBook,
  result: LaneResult,
  along: Along = 'one-value',
): (Resimulation | NotResimulated)[] {
  const friction = laneFriction(record, book, result)
  return (friction.series?.runs ?? []).map(({ runId }) => resimulateRun(record, book, result, runId, along, friction))
}

/** The first mark at whose fitted place the run's speed is told. */
function startOf(series: SeriesResult, run: RunResult, index: number) {
  const motion = series.speeds.motions[index]
  if (!motion) return null
  const { t_s, s_m, residual_m } = run.residuals
  for (let i = 0; i < t_s.length; i++) {
    const fitted = s_m[i]! - residual_m[i]!
    const v_m_s = speedNear(motion, fitted)
    if (v_m_s !== null) return { index: i, t_s: t_s[i]!, s_m: fitted, v_m_s }
  }
  return null
}

/** Fitted speed at a place; a mark that lies a little outside of the places is read from the nearest two, along which the square of the speed is straight. */
function speedNear(motion: Motion, place_m: number): number | null {
  const inside = speedOf(motion, place_m)
  if (inside !== undefined) return inside
  const { at_m, speed_m_s } = motion
  const n = at_m.length
  if (n < 2) return null
  const [a, b] = place_m < at_m[0]! ? [0, 1] : [n - 1, n - 2]
  const share = (place_m - at_m[a]!) / (at_m[b]! - at_m[a]!)
  if (share < -0.2) return null
  const square = speed_m_s[a]! ** 2 + share * (speed_m_s[b]! ** 2 - speed_m_s[a]! ** 2)
  return square > 0 ? Math.sqrt(square) : null
}

/** Time from entry to exit from the run's own entry speed. The acceleration's and the entry speed's ± move it; the slope's does not, since C_rr was found with the same slope. */
function transitOf(book: SourceBook, series: SeriesResult, run: RunResult, law: RollingLaw): Resimulation['transit'] {
  const { entry, exit, acceleration, travel } = series
  const measured = run.transit
  if (!entry || !exit || !measured || !run.entry) return null
  const [from, to] = [travel * entry.at_m, travel * exit.at_m]
  const speed = run.entry
  const time = (entry_m_s: number, more_m_s2 = 0): number | null => {
    const rolled = roll(
      pushed(law, more_m_s2),
      { t_s: 0, s_m: from, v_m_s: Math.max(0, entry_m_s) },
      { until_m: to, longest_s: 20 * measured.value },
    )
    return timeOfPlace(rolled, to)
  }
  const value = time(speed.value)
  if (value === null) return null
  const slopeBy = (step: number, at: (step: number) => number | null): number => {
    const [up, down] = [at(step), at(-step)]
    if (up !== null && down !== null) return (up - down) / (2 * step)
    return up !== null ? (up - value) / step : 0
  }
  const bySpeed = slopeBy(Math.max(1e-6, 0.01 * speed.value), (step) => time(speed.value + step))
  const byPush = slopeBy(Math.max(1e-6, 0.01 * Math.abs(acceleration.value)), (step) => time(speed.value, step))
  const simulated = linearised(book, 's', value, [
    { weight: bySpeed, estimate: speed },
    { weight: byPush, estimate: acceleration },
  ])
  return { measured, simulated, ratio: value / measured.value }
}

/** The same law with a little more acceleration. */
function pushed(law: RollingLaw, more_m_s2: number): RollingLaw {
  if (more_m_s2 === 0) return law
  const k = typeof law.k === 'number' ? law.k : law.k(0).k
  return {
    ...law,
    stretches: law.stretches.map((stretch) => ({
      ...stretch,
      resistance: stretch.resistance - (k * more_m_s2) / (law.g_m_s2 * maths.cos(stretch.slope_rad)),
    })),
  }
}
