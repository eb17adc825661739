import * as maths from '../elementary/maths.ts'
import { type Deviations, type Run, type SlowlaneRecord, doubtCodes, noDeviations, valueOf } from '../record/index.ts'
import { laneGeometry } from './lane-geometry.ts'
import type { LaneGeometry, LaneProblem } from './lane-line.ts'
import { steadied } from './shake-track.ts'
import { type TimeProblem, type TimeRule, secondsOf, timeRuleOf } from './time-of.ts'

/** One run as position over time. Columns of equal length, in the order of the frames. */
export interface Samples {
  readonly kind: 'samples'
  readonly runId: string
  readonly laneId: string
  readonly direction: Run['direction']
  readonly frame: Int32Array
  /** Index of each sample's mark in the run's columns. */
  readonly mark: Int32Array
  readonly t_s: Float64Array
  /** Arc length along the lane line from its start, positive along the lane's downhill sense. */
  readonly s_m: Float64Array
  /** Standard uncertainty of s from the mark alone: its own noise, the rounding of its timestamp, the steadying of its frame. */
  readonly sigma_m: Float64Array
  /** Distance from the lane line, positive to the right of its direction as seen. */
  readonly across_m: Float64Array
}

export type SampleProblem =
  | { readonly kind: 'run-missing'; readonly runId: string }
  | { readonly kind: 'no-marks'; readonly runId: string; readonly have: number; readonly leftOut: number }
  | LaneProblem
  | TimeProblem

/** What all runs of one lane seen in one clip share; made once per set of deviations. */
export interface Setting {
  readonly kind: 'setting'
  readonly geometry: LaneGeometry
  readonly rule: TimeRule
}

/** Geometry and time rule of a run, for use by all runs of the same lane, view and clip. */
export function settingOf(record: SlowlaneRecord, run: Run, deviations: Deviations): Setting | SampleProblem {
  const clip = record.clips[run.clipId]
  if (!clip) throw new Error(`the run ${run.id} names a clip that the record does not hold`)
  const geometry = laneGeometry(record, run.viewId, run.laneId, deviations)
  if (geometry.kind !== 'lane') return geometry
  const rule = timeRuleOf(record, clip, deviations)
  if (rule.kind !== 'time-rule') return rule
  return { kind: 'setting', geometry, rule }
}

const repeatedFrame = doubtCodes.indexOf('repeated-frame')

/**
 * A run's marks as metres and seconds, with the sources moved by `deviations`. Marks on repeated frames, outside the clip's trim or without a
 * finite place are left out. Pass `setting` where several runs share it.
 */
export function samplesOf(
  record: SlowlaneRecord,
  runId: string,
  deviations: Deviations = noDeviations,
  setting?: Setting,
): Samples | SampleProblem {
  const run = record.runs[runId]
  if (!run) return { kind: 'run-missing', runId }
  const found = setting ?? settingOf(record, run, deviations)
  if (found.kind !== 'setting') return found
  const { geometry, rule } = found
  const view = record.views[run.viewId]!
  const clip = record.clips[run.clipId]!
  const { marks } = run

  const repeated = new Set(clip.repeated ?? [])
  const first = clip.trim?.first ?? 0
  const last = clip.trim?.last ?? Infinity
  const used: number[] = []
  for (let i = 0; i < marks.frame.length; i++) {
    const frame = marks.frame[i]!
    if (frame < first || frame > last || repeated.has(frame) || marks.doubt[i] === repeatedFrame) continue
    used.push(i)
  }
  const n = used.length
  if (n === 0) return { kind: 'no-marks', runId, have: marks.frame.length, leftOut: marks.frame.length }

  const shutter = view.shutter && {
    lineTime_s: valueOf(view.shutter.lineTime_s, record.sources, deviations),
    reads: view.shutter.reads,
  }
  const steady = clip.shake && steadied(clip.shake)
  const result = {
    kind: 'samples' as const,
    runId,
    laneId: run.laneId,
    direction: run.direction,
    frame: new Int32Array(n),
    mark: Int32Array.from(used),
    t_s: new Float64Array(n),
    s_m: new Float64Array(n),
    sigma_m: new Float64Array(n),
    across_m: new Float64Array(n),
  }
  const on = new Float64Array(3)
  for (let k = 0; k < n; k++) {
    const i = used[k]!
    const frame = marks.frame[i]!
    const x = marks.x[i]!
    const y = marks.y[i]!
    const at = steady ? steady(frame, x, y) : { x, y, u_px: 0 }
    geometry.project(at.x, at.y, on)
    result.frame[k] = frame
    // The sensor row is where the ball was shown, before the picture was steadied.
    result.t_s[k] = secondsOf(rule, { frame, ticks: marks.ticks[i]!, x, y }, shutter ?? null, view)
    result.s_m[k] = on[0]!
    result.across_m[k] = on[1]!
    result.sigma_m[k] = maths.hypot(marks.sigma[i]!, at.u_px) * on[2]!
  }
  if (rule.u_s > 0) addTimeNoise(result, rule.u_s)
  return result
}

/** A time off by u_s looks like a place off by speed × u_s; speed from the neighbours on both sides. */
function addTimeNoise(samples: { t_s: Float64Array; s_m: Float64Array; sigma_m: Float64Array }, u_s: number) {
  const { t_s, s_m, sigma_m } = samples
  const n = t_s.length
  const reach = Math.max(1, Math.min(5, n >> 2))
  for (let k = 0; k < n; k++) {
    const a = Math.max(0, k - reach)
    const b = Math.min(n - 1, k + reach)
    const dt = t_s[b]! - t_s[a]!
    if (dt > 0) sigma_m[k] = maths.hypot(sigma_m[k]!, ((s_m[b]! - s_m[a]!) / dt) * u_s)
  }
}
