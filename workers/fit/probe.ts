import { samplesOf, type Setting } from '../measure/samples.ts'
import { noDeviations, type Deviations, type Marks, type Run, type SlowlaneRecord } from '../record/index.ts'
import type { RunSeries } from './run-fit.ts'
import type { UsableRun } from './usable-run.ts'

/** Marks of a probe: enough that what a source does between two of them is a straight line. */
const most = 64
/** From so many marks on a probe is worth making. */
const worthFrom = 256

/**
 * A few marks that stand for all marks of a lane in one clip, spread along it. How far a source of scale, lens or placing moves a mark depends on where
 * along the lane it lies and changes slowly from place to place: it is computed at the probe's marks and read between them.
 */
export interface Probe {
  readonly record: SlowlaneRecord
  readonly runId: string
  readonly s_m: Float64Array
  readonly t_s: Float64Array
}

/** A probe from runs of one lane in one clip; null where all their marks are few enough to be computed. */
export function probeOf(record: SlowlaneRecord, runs: readonly UsableRun[], setting: Setting): Probe | null {
  const count = runs.reduce((sum, { mark }) => sum + mark.length, 0)
  if (count < worthFrom) return null
  // Every so many marks of each run will do to choose from.
  const step = Math.max(1, Math.floor(count / (8 * most)))
  const all = runs.flatMap((run) => {
    const some: { readonly s: number; readonly run: UsableRun; readonly mark: number }[] = []
    const last = run.mark.length - 1
    for (let j = 0; j <= last; j += step) some.push({ s: run.series.s_m[j]!, run, mark: run.mark[j]! })
    some.push({ s: run.series.s_m[last]!, run, mark: run.mark[last]! })
    return some
  })
  all.sort((a, b) => a.s - b.s)
  const gap = (all[all.length - 1]!.s - all[0]!.s) / (2 * most)
  const chosen: typeof all = []
  for (let k = 0; k < most; k++) {
    const one = all[Math.round((k * (all.length - 1)) / (most - 1))]!
    if (chosen.length === 0 || one.s - chosen[chosen.length - 1]!.s > gap) chosen.push(one)
  }
  const template = record.runs[runs[0]!.runId]!
  const column = <K extends keyof Marks>(key: K) =>
    chosen.map(({ run, mark }) => record.runs[run.runId]!.marks[key][mark]!)
  const marks = {
    frame: column('frame'),
    ticks: column('ticks'),
    x: column('x'),
    y: column('y'),
    sigma: column('sigma'),
    origin: column('origin'),
    doubt: column('doubt'),
  } as Marks
  const run: Run = { ...template, marks }
  const thin: SlowlaneRecord = { ...record, runs: { [run.id]: run } }
  const samples = samplesOf(thin, run.id, noDeviations, setting)
  if (samples.kind !== 'samples' || samples.s_m.length !== chosen.length) return null
  return { record: thin, runId: run.id, s_m: samples.s_m, t_s: samples.t_s }
}

/** How far deviations move marks along the lane at the probe's places; null where they move times as well, or nothing can be said. */
export function shiftsOf(probe: Probe, deviations: Deviations, setting: Setting): Float64Array | null {
  const moved = samplesOf(probe.record, probe.runId, deviations, setting)
  if (moved.kind !== 'samples') return null
  for (let k = 0; k < probe.t_s.length; k++) if (moved.t_s[k] !== probe.t_s[k]) return null
  return moved.s_m.map((s, k) => s - probe.s_m[k]!)
}

/** A run's marks moved by a probe's shifts, their places written `into` an array of their number. */
export function shifted(
  probe: Probe,
  shifts: Float64Array,
  series: RunSeries,
  into: Float64Array = new Float64Array(series.s_m.length),
): RunSeries {
  let k = 0
  const at = probe.s_m
  const last = at.length - 2
  const s_m = into
  for (let j = 0; j < s_m.length; j++) {
    const s = series.s_m[j]!
    // Marks follow each other along the lane: the search goes on from the last place.
    while (k < last && s > at[k + 1]!) k++
    while (k > 0 && s < at[k]!) k--
    const share = (s - at[k]!) / (at[k + 1]! - at[k]!)
    s_m[j] = s + shifts[k]! + share * (shifts[k + 1]! - shifts[k]!)
  }
  return { ...series, s_m }
}

/** The shift at one place. */
export function shiftAt(probe: Probe, shifts: Float64Array, s_m: number): number {
  const place = Float64Array.of(s_m)
  return shifted(probe, shifts, { t_s: place, s_m: place, sigma_m: place }).s_m[0]! - s_m
}
