import type { Estimate } from '../record/index.ts'
import { estimateOf, type SourceBook } from './estimates.ts'
import type { SeriesFit } from './series-fit.ts'
import { atMiddle } from './run-fit.ts'

/** Where a run is on its parabola: one point of it and the acceleration. */
export interface Motion {
  readonly s_m: number
  readonly v_m_s: number
  readonly a_m_s2: number
}

/** Motions when a source deviates by plus and by minus one standard uncertainty. */
export interface Moved<T> {
  readonly plus: T
  readonly minus: T
}

/**
 * The speed of the runs of a series along the lane, with what is needed for its uncertainty anywhere: plain data, so that it crosses threads.
 */
export interface SpeedCurve {
  readonly motions: readonly Motion[]
  readonly moved: ReadonlyMap<string, Moved<readonly Motion[]>>
  readonly random: {
    /** Weight of each run's curvature in the common acceleration; null where each run has its own. */
    readonly weights: readonly number[] | null
    readonly lift: readonly number[]
    readonly skew: readonly number[]
    /** Covariance of (level, slope, curvature) of each run from the scatter of its marks, row by row. */
    readonly covariances: readonly (readonly number[])[]
    readonly dof: number
  }
  /** Part of the lane that the marks of every run of the series cover [m]. */
  readonly covered_m: readonly [number, number]
}

/** The motions of a fitted series. */
export function motionsOf(fit: SeriesFit): Motion[] {
  return fit.runs.map((run, i) => ({ ...atMiddle(run, fit.perRun_m_s2[i]!), a_m_s2: fit.perRun_m_s2[i]! }))
}

export function speedCurveOf(
  fit: SeriesFit,
  moved: ReadonlyMap<string, Moved<readonly Motion[]>>,
  covered_m: readonly [number, number],
): SpeedCurve {
  return {
    motions: motionsOf(fit),
    moved,
    random: {
      weights: fit.runsScatter ? null : fit.weights,
      lift: fit.runs.map((run) => run.lift),
      skew: fit.runs.map((run) => run.skew),
      covariances: fit.noise.covariances.map((c) => c.map((value) => value * fit.noise.scale2)),
      dof: fit.noise.dof,
    },
    covered_m,
  }
}

/** Speed [m/s, positive] of a motion where it passes `at_m`: v² = v₀² + 2a(s − s₀). Undefined where it turns before. */
export function speedOf(motion: Motion, at_m: number): number | undefined {
  const square = motion.v_m_s ** 2 + 2 * motion.a_m_s2 * (at_m - motion.s_m)
  return square > 0 ? Math.sqrt(square) : undefined
}

/** Mean over `runs` (all by default) of the speed at a place; undefined where one of them is never there. */
export function meanSpeed(motions: readonly Motion[], at_m: number, runs?: readonly number[]): number | undefined {
  return meanOf(motions, (motion) => speedOf(motion, at_m), runs)
}

/** Time [s] from one place to another at constant acceleration, 2·distance/(v₁ + v₂): no pole where the acceleration vanishes. */
export function transitOf(motion: Motion, from_m: number, to_m: number): number | undefined {
  const [first, last] = [speedOf(motion, from_m), speedOf(motion, to_m)]
  return first === undefined || last === undefined ? undefined : (2 * Math.abs(to_m - from_m)) / (first + last)
}

/** Speed at a place as a measured number: the mean of `runs` (all by default). Undefined where one of them is never there. */
export function speedAlong(
  book: SourceBook,
  curve: SpeedCurve,
  at_m: number,
  runs?: readonly number[],
): Estimate | undefined {
  return readOff(book, curve, 'm/s', (motion) => speedOf(motion, at_m), runs)
}

/** Time between two places as a measured number: the mean of `runs` (all by default). */
export function transitAlong(
  book: SourceBook,
  curve: SpeedCurve,
  from_m: number,
  to_m: number,
  runs?: readonly number[],
): Estimate | undefined {
  return readOff(book, curve, 's', (motion) => transitOf(motion, from_m, to_m), runs)
}

/** A quantity of each motion, averaged over runs: effects by moving sources, the random part by its derivatives with respect to the motion. */
export function readOff(
  book: SourceBook,
  curve: SpeedCurve,
  unit: string,
  quantity: (motion: Motion) => number | undefined,
  runs?: readonly number[],
): Estimate | undefined {
  const value = meanOf(curve.motions, quantity, runs)
  if (value === undefined) return undefined
  const effects = new Map<string, number>()
  for (const [id, { plus, minus }] of curve.moved) {
    const [up, down] = [meanOf(plus, quantity, runs), meanOf(minus, quantity, runs)]
    // A motion that no longer reaches the place when a source moves: the one-sided change stands for both.
    if (up !== undefined && down !== undefined) effects.set(id, (up - down) / 2)
    else if (up !== undefined) effects.set(id, up - value)
    else if (down !== undefined) effects.set(id, value - down)
    else return undefined
  }
  const variance = randomVariance(curve, quantity, runs)
  if (variance === undefined) return undefined
  return estimateOf(book, unit, value, effects, { u: Math.sqrt(variance), dof: curve.random.dof })
}

function meanOf(
  motions: readonly Motion[],
  quantity: (motion: Motion) => number | undefined,
  runs: readonly number[] | undefined,
): number | undefined {
  let sum = 0
  const count = runs?.length ?? motions.length
  for (let j = 0; j < count; j++) {
    const value = quantity(motions[runs ? runs[j]! : j]!)
    if (value === undefined) return undefined
    sum += value
  }
  return count > 0 ? sum / count : undefined
}

/** Variance from the scatter of marks: each run through its own position and speed, all runs through the common acceleration. */
function randomVariance(
  { motions, random }: SpeedCurve,
  quantity: (motion: Motion) => number | undefined,
  runs: readonly number[] | undefined,
): number | undefined {
  const gradient = motions.map(() => new Float64Array(3))
  const chosen = runs ?? Array.from(motions.keys())
  for (const i of chosen) {
    const d = derivatives(motions[i]!, quantity, random.covariances[i]!)
    if (!d) return undefined
    const [byS, byV, byA] = d
    const own = gradient[i]!
    own[0]! += byS / chosen.length
    own[1]! += byV / chosen.length
    // The point of the motion itself moves with the acceleration: s = level − a·lift, v = slope − a·skew.
    const curvature = (byA - byS * random.lift[i]! - byV * random.skew[i]!) / chosen.length
    if (random.weights === null) own[2]! += curvature
    else for (const [j, g] of gradient.entries()) g[2]! += curvature * random.weights[j]!
  }
  let variance = 0
  for (const [i, g] of gradient.entries()) {
    const c = random.covariances[i]!
    for (let k = 0; k < 3; k++) for (let l = 0; l < 3; l++) variance += g[k]! * c[3 * k + l]! * g[l]!
  }
  return Math.max(variance, 0)
}

/** Central differences over a tenth of each parameter's own standard uncertainty. */
function derivatives(
  motion: Motion,
  quantity: (motion: Motion) => number | undefined,
  covariance: readonly number[],
): readonly [number, number, number] | undefined {
  const result: number[] = []
  for (const [k, key] of (['s_m', 'v_m_s', 'a_m_s2'] as const).entries()) {
    const step = 0.1 * Math.sqrt(covariance[4 * k]!) || 1e-9
    const up = quantity({ ...motion, [key]: motion[key] + step })
    const down = quantity({ ...motion, [key]: motion[key] - step })
    if (up === undefined || down === undefined) return undefined
    result.push((up - down) / (2 * step))
  }
  return [result[0]!, result[1]!, result[2]!]
}
