import { standardGravity } from './generator/motion.ts'
import type { Track, Truth } from './truth.ts'

/** A run as it was measured: which ball, and which of its frames were used. */
export interface UsedRun {
  readonly ball: string
  readonly frames: readonly number[]
}

export interface EquivalentTruth {
  /** Shared acceleration of the runs [m/s²], + downhill. */
  readonly a_m_s2: number
  /** Equivalent resistance coefficient of that acceleration, with the true slope and inertia factor. */
  readonly c_rr: number
  readonly slope_rad: number
  readonly k: number
  /** Speed of the fit at the first and the last used frame of each run [m/s]. */
  readonly runs: readonly { readonly ball: string; readonly v_in_m_s: number; readonly v_out_m_s: number }[]
}

/** Frames in which a ball is in full view (nothing but the groove's lip hides it) and moves: every `step`-th of them. */
export function fullViewFrames(track: Track, step = 1): number[] {
  return track.frame.filter((_, i) => track.state[i] === 'visible' && track.v[i] !== 0).filter((_, i) => i % step === 0)
}

/** What an error-free measurement of these frames would give: the least-squares fit of s = s₀ + v₀ t + ½ a t² with one
 *  acceleration for all runs, on the true s(t). With a part of the resistance that grows with speed, or with a slow
 *  spot, this differs from the lane's own coefficient, and this is what a constant-acceleration fit is to be held to.
 *  Throws when a run is unknown, lies on another lane, or has fewer than three frames. */
export function equivalentTruth(truth: Truth, lane: string, runs: readonly UsedRun[]): EquivalentTruth {
  const facts = truth.lanes.find(({ name }) => name === lane)
  if (!facts) throw new Error(`the truth knows no lane ${lane}`)
  const prepared = runs.map((run) => prepare(truth, lane, run))
  const above = prepared.reduce((sum, run) => sum + run.crossed, 0)
  const below = prepared.reduce((sum, run) => sum + run.squared, 0)
  const a = above / below
  const uphill = prepared.every((run) => run.meanSpeed < 0)
  const { slope_rad, k } = facts
  const drive = Math.tan(slope_rad) - (k * a) / (standardGravity * Math.cos(slope_rad))
  return {
    a_m_s2: a,
    // Going up, resistance and gravity pull the same way.
    c_rr: uphill ? -drive : drive,
    slope_rad,
    k,
    runs: prepared.map((run) => {
      const middle = run.meanSpeed - a * run.curveSpeed
      return { ball: run.ball, v_in_m_s: middle + a * run.first, v_out_m_s: middle + a * run.last }
    }),
  }
}

/** Position and ½ t² of one run with their straight-line parts taken out, which leaves only the acceleration to find. */
function prepare(truth: Truth, lane: string, run: UsedRun) {
  const track = truth.tracks.find(({ ball }) => ball === run.ball)
  if (!track) throw new Error(`the truth knows no ball ${run.ball}`)
  if (track.lane !== lane) throw new Error(`ball ${run.ball} runs on lane ${track.lane}, not ${lane}`)
  const wanted = new Set(run.frames)
  const rows = track.frame.flatMap((frame, i) => (wanted.has(frame) ? [{ t: track.t[i]!, s: track.s[i]! }] : []))
  if (rows.length < 3) throw new Error(`ball ${run.ball}: ${rows.length} frames, and a parabola needs three`)
  const count = rows.length
  const middle = rows.reduce((sum, { t }) => sum + t, 0) / count
  const times = rows.map(({ t }) => t - middle)
  const spread = times.reduce((sum, t) => sum + t * t, 0)
  const straightened = (values: readonly number[]): { rest: number[]; slope: number } => {
    const mean = values.reduce((sum, value) => sum + value, 0) / count
    const slope = values.reduce((sum, value, i) => sum + value * times[i]!, 0) / spread
    return { rest: values.map((value, i) => value - mean - slope * times[i]!), slope }
  }
  const position = straightened(rows.map(({ s }) => s))
  const curve = straightened(times.map((t) => (t * t) / 2))
  return {
    ball: run.ball,
    crossed: curve.rest.reduce((sum, value, i) => sum + value * position.rest[i]!, 0),
    squared: curve.rest.reduce((sum, value) => sum + value * value, 0),
    meanSpeed: position.slope,
    curveSpeed: curve.slope,
    first: times[0]!,
    last: times[count - 1]!,
  }
}
