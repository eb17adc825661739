import * as maths from '../elementary/maths.ts'
import { accelerationOfThreeGates } from '../physics/estimators.ts'
import type { RunSeries } from './run-fit.ts'

/** Three places along the travel at which a run is timed. */
export type Gates = readonly [number, number, number]

/** Gates at the entry, half way and at the exit; null without a common stretch. */
export function gatesOf(places: { readonly entry_m: number | null; readonly exit_m: number | null }): Gates | null {
  const { entry_m, exit_m } = places
  return entry_m === null || exit_m === null ? null : [entry_m, (entry_m + exit_m) / 2, exit_m]
}

/** A passage of a gate: when, and how sure (the noise of the two marks around it). */
export interface Passage {
  readonly t_s: number
  readonly u_s: number
}

/** When a run passes a place, straight between the marks around it; undefined where it was not marked on both sides. */
export function passageAt({ t_s, s_m, sigma_m }: RunSeries, at_m: number): Passage | undefined {
  const n = t_s.length
  const forward = s_m[n - 1]! > s_m[0]! ? 1 : -1
  for (let i = 1; i < n; i++) {
    const before = s_m[i - 1]!
    const after = s_m[i]!
    if (!(forward * (after - at_m) >= 0 && forward * (at_m - before) >= 0) || before === after) continue
    const share = (at_m - before) / (after - before)
    const interval = t_s[i]! - t_s[i - 1]!
    const noise = maths.hypot((1 - share) * sigma_m[i - 1]!, share * sigma_m[i]!)
    return { t_s: t_s[i - 1]! + share * interval, u_s: (noise * interval) / Math.abs(after - before) }
  }
  return undefined
}

/** Acceleration along the lane line from the times at three gates alone; undefined where one of them is not passed. */
export function gateAcceleration(series: RunSeries, gates: Gates | null): number | undefined {
  const passages = gates?.map((gate) => passageAt(series, gate))
  const [first, second, third] = passages ?? []
  if (!gates || !first || !second || !third) return undefined
  return fromTimes(gates, first.t_s, second.t_s, third.t_s)
}

/** The same with its standard uncertainty from the marks around the gates. */
export function gateUncertainty(series: RunSeries, gates: Gates): number | undefined {
  const [first, second, third] = gates.map((gate) => passageAt(series, gate))
  if (!first || !second || !third) return undefined
  const times = [first, second, third]
  let variance = 0
  for (const [i, passage] of times.entries()) {
    const at = (shift: number) => {
      const [a, b, c] = times.map(({ t_s }, j) => (i === j ? t_s + shift : t_s))
      return fromTimes(gates, a!, b!, c!)
    }
    variance += ((at(passage.u_s) - at(-passage.u_s)) / 2) ** 2
  }
  return Math.sqrt(variance)
}

function fromTimes([a, b, c]: Gates, t0: number, t1: number, t2: number): number {
  return accelerationOfThreeGates(b - a, t1 - t0, c - a, t2 - t0).a_m_s2
}
