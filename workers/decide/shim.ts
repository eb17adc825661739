import * as maths from '../elementary/maths.ts'
import type { SourceBook } from '../fit/estimates.ts'
import { changedLane, type BallStops, type ChangedLane } from './changed-lane.ts'
import type { LaneSetting } from './lane-setting.ts'
import type { PlacedSupport, Supports } from './supports.ts'
import { washerStack, type WasherStack } from './washers.ts'

/** What goes under one support. */
export interface Lift {
  readonly support: PlacedSupport
  /** Exact height [m]; negative: it is lowered by as much. */
  readonly height_m: number
  readonly stack: ReturnType<typeof washerStack> | null
}

/** A way to another slope, and what comes of it. */
export interface Shim {
  readonly kind: 'shim'
  /** Which end moves, and which way. The support at the other end stays as the pivot. */
  readonly how: 'raise-upper' | 'lower-upper' | 'raise-lower' | 'lower-lower'
  readonly wanted_rad: number
  readonly lifts: readonly Lift[]
  /** With the washers as they are; the exact slope where they are lowered or no stack fits. */
  readonly reached_rad: number
  readonly reached_u_rad: number
  readonly after: ChangedLane | BallStops
}

export type NoShim = Exclude<Supports, { kind: 'supports' }> | { readonly kind: 'steep-enough-as-it-is' }

/**
 * Heights under the supports that bring a lane from its slope to another: B(sinθ′ − sinθ) at the end of the base B, in proportion between. Supports are
 * measured along the lane, so heights are their distance times the sine. `lower`: lower one end instead of raising the other. Stacks of washers never fall
 * short of a rise.
 */
export function shimFor(
  book: SourceBook,
  setting: LaneSetting,
  supports: Supports,
  wanted_rad: number,
  lower = false,
): Shim | NoShim {
  if (supports.kind !== 'supports') return supports
  const { list, base_m, base_u_m } = supports
  const sine = maths.sin(setting.slope_rad)
  const change = maths.sin(wanted_rad) - sine
  if (Math.abs(change) * base_m < 1e-6) return { kind: 'steep-enough-as-it-is' }
  const how = change > 0 ? (lower ? 'lower-lower' : 'raise-upper') : lower ? 'lower-upper' : 'raise-lower'
  const movesUpper = how === 'raise-upper' || how === 'lower-upper'
  const pivot = movesUpper ? list.at(-1)! : list[0]!
  const lifts = list
    .filter((support) => support !== pivot)
    .map((support): Lift => {
      const height_m = Math.abs(support.at_m - pivot.at_m) * (movesUpper ? change : -change)
      // A rise to gain margin must not fall short; one to make a lane slower must not overdo it.
      return {
        support,
        height_m,
        stack: height_m > 0 ? washerStack(height_m, change > 0 ? 'at-least' : 'at-most') : null,
      }
    })
  const end = movesUpper ? lifts[0]! : lifts.at(-1)!
  const stack = stackOf(end)
  const lifted_m = stack ? stack.height_m : Math.abs(end.height_m)
  const sine_u = maths.hypot(stack?.u_m ?? 0, (lifted_m * base_u_m) / base_m) / base_m
  const reached_rad = maths.asin(sine + (Math.sign(change) * lifted_m) / base_m)
  return {
    kind: 'shim',
    how,
    wanted_rad,
    lifts,
    reached_rad,
    reached_u_rad: sine_u / maths.cos(reached_rad),
    after: changedLane(book, setting, { slope_rad: reached_rad, sine_u }),
  }
}

/** The stack of a lift, where one fits. */
export function stackOf({ stack }: Lift): WasherStack | null {
  return stack && !('kind' in stack) ? stack : null
}
