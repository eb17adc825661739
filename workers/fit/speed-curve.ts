import type { Estimate } from '../record/index.ts'
import { estimateOf, type SourceBook } from './estimates.ts'

/** Fitted speed of one run at places along the lane, rising; columns of equal length. */
export interface Motion {
  readonly at_m: readonly number[]
  readonly speed_m_s: readonly number[]
}

/**
 * Mean speed of the runs of a series along the lane, at places close enough to read between: plain data, so that it crosses threads.
 * Columns of equal length, places rising.
 */
export interface SpeedCurve {
  readonly at_m: readonly number[]
  readonly speed_m_s: readonly number[]
  /** Change of the speed for + 1 standard uncertainty of each source, by source id. */
  readonly effects: ReadonlyMap<string, readonly number[]>
  /** Standard uncertainty from the scatter of marks. */
  readonly random_m_s: readonly number[]
  readonly dof: number
  /** Each run by itself, over its own marks. */
  readonly motions: readonly Motion[]
  /** Part of the lane that the marks of the series cover [m]. */
  readonly covered_m: readonly [number, number]
}

/** A moved quantity for plus and for minus one standard uncertainty of a source. */
export interface Moved<T> {
  readonly plus: T
  readonly minus: T
}

/** Fitted speed [m/s] of one run at a place; undefined outside of its marks. */
export function speedOf(motion: Motion, at_m: number): number | undefined {
  const where = placeIn(motion.at_m, at_m)
  return where && between(motion.speed_m_s, where)
}

/** Speed at a place as a measured number, the mean of the runs filmed. Undefined outside of the part of the lane that all of them cover. */
export function speedAlong(book: SourceBook, curve: SpeedCurve, at_m: number): Estimate | undefined {
  const where = placeIn(curve.at_m, at_m)
  if (!where) return undefined
  const linear = (column: readonly number[]) =>
    column[where.i]! + where.share * (column[where.i + 1]! - column[where.i]!)
  const effects = new Map([...curve.effects].map(([id, column]) => [id, linear(column)]))
  return estimateOf(book, 'm/s', between(curve.speed_m_s, where), effects, {
    u: linear(curve.random_m_s),
    dof: curve.dof,
  })
}

function placeIn(at: readonly number[], at_m: number): { readonly i: number; readonly share: number } | undefined {
  const n = at.length
  if (n < 2 || !(at_m >= at[0]! && at_m <= at[n - 1]!)) return undefined
  let i = 0
  while (i + 2 < n && at[i + 1]! <= at_m) i++
  return { i, share: (at_m - at[i]!) / (at[i + 1]! - at[i]!) }
}

/** The square of the speed is straight in the place where the acceleration is constant. */
function between(speed_m_s: readonly number[], { i, share }: { readonly i: number; readonly share: number }): number {
  const [low, high] = [speed_m_s[i]! ** 2, speed_m_s[i + 1]! ** 2]
  return Math.sqrt(low + share * (high - low))
}
