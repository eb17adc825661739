import { settingOf, type Setting } from '../measure/samples.ts'
import { slopeBetween, slopeOf } from '../measure/slope.ts'
import { noDeviations, valueOf, type Deviations, type SlowlaneRecord } from '../record/index.ts'
import type { ChosenModel } from './choose-model.ts'
import { gateAcceleration, gatesOf } from './gates.ts'
import { guideNumbers } from './guide-numbers.ts'
import { pieceAccelerations, type LocalPlan } from './local-fit.ts'
import { refitMotion, speedAtPlace, timeAt, type MotionFit } from './motion-fit.ts'
import { meanSpeedAt } from './motion-reading.ts'
import { refitSeries, type SeriesFit } from './series-fit.ts'
import { probeOf, shiftAt, shifted, shiftsOf, type Probe } from './probe.ts'
import type { RunSeries } from './run-fit.ts'
import { movedSeries, type UsableRun } from './usable-run.ts'

/** What was decided about a series before any source is moved: its runs, their used marks, the model, the weights of the fit. */
export interface SeriesPlan {
  readonly laneId: string
  readonly mountingId: string
  readonly ballId: string
  readonly travel: 1 | -1
  readonly level: boolean
  readonly runs: readonly UsableRun[]
  /** The parabola of equal acceleration, from which the equivalent resistance follows. */
  readonly fit: SeriesFit
  /** The model that describes the motion best, from which speeds are read. */
  readonly model: ChosenModel
  /** The same motion piece by piece; null where the marks do not give it. */
  readonly local: LocalPlan | null
  /** Known air drag of the ball [1/m]; 0 where neither its mass nor its density is given. */
  readonly drag_per_m: number
  /** Part of the lane that the runs cover [m], over which the slope acts. */
  readonly covered_m: readonly [number, number]
}

/** Places at which a series is read: entry and exit in the sense of its travel (none without a common stretch), and those of the speed curve, rising. */
export interface Places {
  readonly entry_m: number | null
  readonly exit_m: number | null
  readonly curve_m: readonly number[]
}

/** All numbers of a series that results are made of, for one set of deviations. `null` where the record does not give it. */
export interface SeriesNumbers {
  readonly acceleration_m_s2: number
  /** Of each run alone. */
  readonly ownAccelerations_m_s2: readonly number[]
  readonly slope_rad: number | null
  readonly rollingRadius_m: number | null
  readonly inertiaFactor: number | null
  readonly g_m_s2: number
  /** Per run. */
  readonly entry_m_s: readonly (number | null)[]
  readonly exit_m_s: readonly (number | null)[]
  readonly transit_s: readonly (number | null)[]
  /** Mean over runs at the places of the curve. */
  readonly curve_m_s: readonly (number | null)[]
  /** Shared parameters of the model, and the mean of the runs' own accelerations in it. */
  readonly shared: Float64Array
  readonly ownLevel_m_s2: number | null
  /** Where each ball lay before its release [m], and its acceleration from the times at three gates alone. */
  readonly rest_m: readonly (number | null)[]
  readonly gates_m_s2: readonly (number | null)[]
  /** Acceleration and slope on each piece of the lane. */
  readonly pieces_m_s2: Float64Array | null
  readonly pieceSlopes_rad: readonly number[] | null
}

/** Settings (geometry and time) by lane, view and clip, made once per set of deviations. */
export class Settings {
  private readonly made = new Map<string, Setting | null>()
  private readonly shifts = new Map<Probe, Float64Array | null>()

  constructor(
    private readonly record: SlowlaneRecord,
    private readonly deviations: Deviations,
  ) {}

  of(runId: string): Setting | undefined {
    const run = this.record.runs[runId]!
    const key = `${run.laneId} ${run.viewId} ${run.clipId}`
    let setting = this.made.get(key)
    if (setting === undefined) {
      const found = settingOf(this.record, run, this.deviations)
      setting = found.kind === 'setting' ? found : null
      this.made.set(key, setting)
    }
    return setting ?? undefined
  }

  /** A run's marks under the deviations, through its probe where that tells. */
  moved(
    run: UsableRun,
    probe: Probe | null,
  ): { readonly series: RunSeries; readonly rest_m: number | null } | undefined {
    const setting = this.of(run.runId)
    if (!setting) return undefined
    if (probe) {
      let shifts = this.shifts.get(probe)
      if (shifts === undefined) {
        shifts = shiftsOf(probe, this.deviations, setting)
        this.shifts.set(probe, shifts)
      }
      if (shifts)
        return {
          series: shifted(probe, shifts, run.series, placesOf(run)),
          rest_m: run.rest_m === null ? null : run.rest_m + shiftAt(probe, shifts, run.rest_m),
        }
    }
    return movedSeries(this.record, run, this.deviations, setting)
  }
}

/** One array of places a run, used again for every source that moves it: nothing that is read from moved marks outlives its evaluation. */
const kept = new WeakMap<UsableRun, Float64Array>()

function placesOf(run: UsableRun): Float64Array {
  let places = kept.get(run)
  if (!places) kept.set(run, (places = new Float64Array(run.series.s_m.length)))
  return places
}

/** Positions of run i with a draw of its marks' noise added, for a Monte Carlo. */
export type Disturb = (run: number, s_m: Float64Array) => Float64Array

/**
 * The numbers of a series under deviations. `touched`: whether they move its marks; where not, the fit stays as planned. `probes`: see there.
 * Undefined where a deviation breaks the way from pixels to metres (it is then far outside of what is stated).
 */
export function evaluateSeries(
  record: SlowlaneRecord,
  plan: SeriesPlan,
  places: Places,
  deviations: Deviations,
  settings: Settings,
  touched: boolean,
  probes: ReadonlyMap<string, Probe | null>,
  disturb?: Disturb,
): SeriesNumbers | undefined {
  let fit = plan.fit
  let motion = plan.model.fit
  let local = plan.local?.fit ?? null
  let series: readonly RunSeries[] = plan.runs.map((run) => run.series)
  let rest_m: readonly (number | null)[] = plan.runs.map((run) => run.rest_m)
  if (touched) {
    const moved: RunSeries[] = []
    const lay: (number | null)[] = []
    for (const run of plan.runs) {
      const found = settings.moved(run, disturb ? null : (probes.get(run.runId) ?? null))
      if (!found) return undefined
      moved.push(disturb ? { ...found.series, s_m: disturb(moved.length, found.series.s_m) } : found.series)
      lay.push(found.rest_m)
    }
    const [refitted, remodelled] = [refitSeries(plan.fit, moved), refitMotion(plan.model.fit, moved)]
    if (!refitted || !remodelled) return undefined
    fit = refitted
    motion = remodelled
    series = moved
    rest_m = lay
    if (local) local = local === plan.model.fit ? remodelled : (refitMotion(local, moved) ?? null)
  }
  const slope = slopeOf(record, record.mountings[plan.mountingId]!, deviations)
  const guide = guideNumbers(record, plan.laneId, plan.ballId, deviations)
  return {
    acceleration_m_s2: fit.acceleration_m_s2,
    ownAccelerations_m_s2: fit.runs.map((run) => run.curvature_m_s2),
    slope_rad: slope.kind === 'slope' ? slopeBetween(slope, ...plan.covered_m) : null,
    rollingRadius_m: guide.kind === 'numbers' ? guide.rollingRadius_m : null,
    inertiaFactor: guide.kind === 'numbers' ? guide.inertiaFactor : null,
    g_m_s2: valueOf(record.settings.gravity.g_m_s2, record.sources, deviations),
    ...readings(motion, places),
    shared: motion.shared,
    ownLevel_m_s2:
      motion.own[0]!.length > 2 ? motion.own.reduce((sum, own) => sum + own[2]!, 0) / motion.own.length : null,
    rest_m,
    gates_m_s2: series.map((one) => gateAcceleration(one, gatesOf(places)) ?? null),
    pieces_m_s2: local && pieceAccelerations(local),
    pieceSlopes_rad:
      local && slope.kind === 'slope'
        ? local.spec.knots_m.slice(1).map((to_m, k) => slopeBetween(slope, local.spec.knots_m[k]!, to_m))
        : null,
  }
}

/** Speeds and times of each run at the places of a series, as a motion gives them. */
export function readings(motion: MotionFit, { entry_m, exit_m, curve_m }: Places) {
  const runs = Array.from(motion.own.keys())
  const speeds = (at_m: number | null) =>
    runs.map((i) => (at_m === null ? null : (speedAtPlace(motion, i, at_m) ?? null)))
  return {
    entry_m_s: speeds(entry_m),
    exit_m_s: speeds(exit_m),
    transit_s: runs.map((i) => {
      if (entry_m === null || exit_m === null) return null
      const [first, last] = [timeAt(motion, i, entry_m), timeAt(motion, i, exit_m)]
      return first === undefined || last === undefined ? null : last - first
    }),
    curve_m_s: curve_m.map((at_m) => meanSpeedAt(motion, at_m) ?? null),
  }
}

/** What the numbers would be under the opposite deviation, if they answer in proportion. */
export function mirrored(base: SeriesNumbers, moved: SeriesNumbers): SeriesNumbers {
  const one = (b: number | null, m: number | null): number | null => (b === null || m === null ? null : 2 * b - m)
  const each = (b: readonly (number | null)[], m: readonly (number | null)[]) =>
    b.map((value, i) => one(value, m[i] ?? null))
  return {
    acceleration_m_s2: 2 * base.acceleration_m_s2 - moved.acceleration_m_s2,
    ownAccelerations_m_s2: base.ownAccelerations_m_s2.map((value, i) => 2 * value - moved.ownAccelerations_m_s2[i]!),
    slope_rad: one(base.slope_rad, moved.slope_rad),
    rollingRadius_m: one(base.rollingRadius_m, moved.rollingRadius_m),
    inertiaFactor: one(base.inertiaFactor, moved.inertiaFactor),
    g_m_s2: 2 * base.g_m_s2 - moved.g_m_s2,
    entry_m_s: each(base.entry_m_s, moved.entry_m_s),
    exit_m_s: each(base.exit_m_s, moved.exit_m_s),
    transit_s: each(base.transit_s, moved.transit_s),
    curve_m_s: each(base.curve_m_s, moved.curve_m_s),
    rest_m: each(base.rest_m, moved.rest_m),
    gates_m_s2: each(base.gates_m_s2, moved.gates_m_s2),
    shared: base.shared.map((value, i) => 2 * value - moved.shared[i]!),
    ownLevel_m_s2: one(base.ownLevel_m_s2, moved.ownLevel_m_s2),
    pieces_m_s2:
      base.pieces_m_s2 && moved.pieces_m_s2 && base.pieces_m_s2.map((value, i) => 2 * value - moved.pieces_m_s2![i]!),
    pieceSlopes_rad:
      base.pieceSlopes_rad &&
      moved.pieceSlopes_rad &&
      base.pieceSlopes_rad.map((value, i) => 2 * value - moved.pieceSlopes_rad![i]!),
  }
}

/** For a Monte Carlo and for records of few marks: every mark is computed. */
export const noProbes: ReadonlyMap<string, Probe | null> = new Map()

/** Probes of the runs of a lane, by run: those of one view and clip share one. */
export function probesOf(record: SlowlaneRecord, plans: readonly SeriesPlan[]): Map<string, Probe | null> {
  const groups = new Map<string, UsableRun[]>()
  for (const { runs } of plans)
    for (const run of runs) {
      const { viewId, clipId } = record.runs[run.runId]!
      const key = `${viewId} ${clipId}`
      groups.set(key, [...(groups.get(key) ?? []), run])
    }
  const settings = new Settings(record, noDeviations)
  const probes = new Map<string, Probe | null>()
  for (const runs of groups.values()) {
    const setting = settings.of(runs[0]!.runId)
    const probe = setting ? probeOf(record, runs, setting) : null
    for (const { runId } of runs) probes.set(runId, probe)
  }
  return probes
}

/** The numbers as planned. */
export function plannedNumbers(record: SlowlaneRecord, plan: SeriesPlan, places: Places): SeriesNumbers {
  const numbers = evaluateSeries(
    record,
    plan,
    places,
    noDeviations,
    new Settings(record, noDeviations),
    false,
    noProbes,
  )
  if (!numbers) throw new Error('a series that was planned has no numbers')
  return numbers
}
