import * as maths from '../elementary/maths.ts'

/** What is needed of a run: its places along the lane in any one unit (px, or metres once there is a scale), their σ and their frames. */
export interface PassingRun {
  readonly lane: string
  /** 1 along the lane's line, −1 against it. */
  readonly direction: 1 | -1
  readonly frames: Int32Array
  readonly s: Float64Array
  readonly sigma: Float64Array
}

/** How regularly balls come along a lane. Distances are in the unit of the runs' places. */
export interface Releases {
  readonly kind: 'releases'
  readonly lane: string
  readonly direction: 1 | -1
  /** Arc length at which passing times were compared: a place that all counted runs pass. */
  readonly station: number
  /** Passing time of each ball, s, and its σ. */
  readonly times_s: readonly number[]
  readonly timeSigma_s: readonly number[]
  /** Time between successive balls, s: mean with σ of the mean, and jitter (standard deviation; NaN for one interval). */
  readonly interval_s: number
  readonly intervalSigma_s: number
  readonly jitter_s: number
  /** Distance between successive balls while both are on the lane: least, mean, most, per pair. */
  readonly spacings: readonly { readonly least: number; readonly mean: number; readonly most: number }[]
}

export type ReleaseOutcome =
  | Releases
  | { readonly kind: 'too-few-balls'; readonly lane: string; readonly have: number; readonly need: 2 }
  | { readonly kind: 'no-common-place'; readonly lane: string }

/** Interval, jitter and spacing of the balls of one lane that roll one way. */
export function releaseIntervals(
  runs: readonly PassingRun[],
  lane: string,
  direction: 1 | -1,
  time_s: ArrayLike<number>,
): ReleaseOutcome {
  const own = runs.filter((run) => run.lane === lane && run.direction === direction)
  if (own.length < 2) return { kind: 'too-few-balls', lane, have: own.length, need: 2 }
  const low = Math.max(...own.map((run) => Math.min(run.s[0]!, run.s[run.s.length - 1]!)))
  const high = Math.min(...own.map((run) => Math.max(run.s[0]!, run.s[run.s.length - 1]!)))
  if (!(high > low)) return { kind: 'no-common-place', lane }
  // Near the place of release, where differences of rolling have not added up yet, but clear of the very first marks.
  const station = direction > 0 ? low + 0.1 * (high - low) : high - 0.1 * (high - low)
  const passes = own
    .map((run) => ({ run, ...passing(run, station, time_s) }))
    .filter((pass) => !Number.isNaN(pass.time))
    .sort((a, b) => a.time - b.time)
  if (passes.length < 2) return { kind: 'no-common-place', lane }
  const intervals = passes.slice(1).map((pass, i) => pass.time - passes[i]!.time)
  const mean = intervals.reduce((a, b) => a + b, 0) / intervals.length
  const jitter =
    intervals.length < 2 ? NaN : Math.sqrt(intervals.reduce((a, v) => a + (v - mean) ** 2, 0) / (intervals.length - 1))
  const ends = maths.hypot(passes[0]!.sigma, passes[passes.length - 1]!.sigma) / intervals.length
  return {
    kind: 'releases',
    lane,
    direction,
    station,
    times_s: passes.map((pass) => pass.time),
    timeSigma_s: passes.map((pass) => pass.sigma),
    interval_s: mean,
    intervalSigma_s: Math.max(ends, Number.isNaN(jitter) ? 0 : jitter / Math.sqrt(intervals.length)),
    jitter_s: jitter,
    spacings: passes.slice(1).map((pass, i) => spacing(passes[i]!.run, pass.run)),
  }
}

/** Time at which a run passes a place: straight line through the marks within 6 of it. */
function passing(run: PassingRun, station: number, time_s: ArrayLike<number>): { time: number; sigma: number } {
  const { s, frames, sigma } = run
  let at = -1
  for (let i = 1; i < s.length && at < 0; i++) if ((s[i - 1]! - station) * (s[i]! - station) <= 0) at = i
  if (at < 0) return { time: NaN, sigma: NaN }
  const from = Math.max(0, at - 6)
  const to = Math.min(s.length, at + 6)
  let n = 0
  let t = 0
  let u = 0
  for (let i = from; i < to; i++) {
    t += time_s[frames[i]!]!
    u += s[i]!
    n++
  }
  t /= n
  u /= n
  let tt = 0
  let tu = 0
  for (let i = from; i < to; i++) {
    const dt = time_s[frames[i]!]! - t
    tt += dt * dt
    tu += dt * (s[i]! - u)
  }
  const speed = tu / tt
  // Neighbouring marks share errors: a dozen of them count as about four.
  return { time: t + (station - u) / speed, sigma: Math.abs(sigma[at]! / speed) / 2 }
}

function spacing(first: PassingRun, second: PassingRun): { least: number; mean: number; most: number } {
  const at = new Map<number, number>()
  first.frames.forEach((frame, i) => at.set(frame, first.s[i]!))
  let least = Infinity
  let most = -Infinity
  let sum = 0
  let n = 0
  second.frames.forEach((frame, i) => {
    const other = at.get(frame)
    if (other === undefined) return
    const apart = Math.abs(other - second.s[i]!)
    least = Math.min(least, apart)
    most = Math.max(most, apart)
    sum += apart
    n++
  })
  return n === 0 ? { least: NaN, mean: NaN, most: NaN } : { least, mean: sum / n, most }
}
