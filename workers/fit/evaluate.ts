import { settingOf, type Setting } from '../measure/samples.ts'
import { slopeBetween, slopeOf } from '../measure/slope.ts'
import { noDeviations, valueOf, type Deviations, type SlowlaneRecord } from '../record/index.ts'
import { guideNumbers } from './guide-numbers.ts'
import { refitSeries, type SeriesFit } from './series-fit.ts'
import { motionsOf, type Motion } from './speed-curve.ts'
import { movedSeries, type UsableRun } from './usable-run.ts'

/** What was decided about a series before any source is moved: its runs, their used marks, the weights of the fit. */
export interface SeriesPlan {
  readonly laneId: string
  readonly mountingId: string
  readonly ballId: string
  readonly travel: 1 | -1
  readonly level: boolean
  readonly runs: readonly UsableRun[]
  readonly fit: SeriesFit
  /** Part of the lane that the runs cover [m], over which the slope acts. */
  readonly covered_m: readonly [number, number]
}

/** All numbers of a series that results are made of, for one set of deviations. `null` where the record does not give it. */
export interface SeriesNumbers {
  readonly motions: readonly Motion[]
  readonly acceleration_m_s2: number
  /** Of each run alone. */
  readonly ownAccelerations_m_s2: readonly number[]
  readonly slope_rad: number | null
  readonly rollingRadius_m: number | null
  readonly inertiaFactor: number | null
  readonly g_m_s2: number
}

/** Settings (geometry and time) by lane, view and clip, made once per set of deviations. */
export class Settings {
  private readonly made = new Map<string, Setting | null>()

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
}

/**
 * The numbers of a series under deviations. `touched`: whether they move its marks; where not, the fit stays as planned.
 * Undefined where a deviation breaks the way from pixels to metres (it is then far outside of what is stated).
 */
export function evaluateSeries(
  record: SlowlaneRecord,
  plan: SeriesPlan,
  deviations: Deviations,
  settings: Settings,
  touched: boolean,
): SeriesNumbers | undefined {
  let fit = plan.fit
  if (touched) {
    const moved = []
    for (const run of plan.runs) {
      const setting = settings.of(run.runId)
      const series = setting && movedSeries(record, run, deviations, setting)
      if (!series) return undefined
      moved.push(series)
    }
    const refitted = refitSeries(plan.fit, moved)
    if (!refitted) return undefined
    fit = refitted
  }
  const slope = slopeOf(record, record.mountings[plan.mountingId]!, deviations)
  const guide = guideNumbers(record, plan.laneId, plan.ballId, deviations)
  return {
    motions: motionsOf(fit),
    acceleration_m_s2: fit.acceleration_m_s2,
    ownAccelerations_m_s2: fit.runs.map((run) => run.curvature_m_s2),
    slope_rad: slope.kind === 'slope' ? slopeBetween(slope, ...plan.covered_m) : null,
    rollingRadius_m: guide.kind === 'numbers' ? guide.rollingRadius_m : null,
    inertiaFactor: guide.kind === 'numbers' ? guide.inertiaFactor : null,
    g_m_s2: valueOf(record.settings.gravity.g_m_s2, record.sources, deviations),
  }
}

/** The numbers as planned. */
export function plannedNumbers(record: SlowlaneRecord, plan: SeriesPlan): SeriesNumbers {
  const numbers = evaluateSeries(record, plan, noDeviations, new Settings(record, noDeviations), false)
  if (!numbers) throw new Error('a series that was planned has no numbers')
  return numbers
}
