import { differenceOf, type SourceBook } from '../fit/estimates.ts'
import type { LanePiece } from '../fit/local-resistance.ts'
import { studentTCdf } from '../fit/numerics/student-t.ts'
import type { SeriesResult } from '../fit/results.ts'
import type { Estimate } from '../record/index.ts'
import { holm } from './holm.ts'

/** Change of C_rr on one stretch of the lane, second minus first. */
export interface LocalDifference {
  readonly from_m: number
  readonly to_m: number
  readonly difference: Estimate
  /** Among all stretches, by Holm. */
  readonly adjustedP: number
}

/** Shorter overlaps of two pieces say nothing of their own [m]. */
const shortest_m = 0.01

/**
 * Where along the lane did resistance change? Both sides piece by piece, on the stretches that pieces of both overlap in. Null where either side has no
 * resistance along the lane. A constant error of the slope of one mounting shifts all stretches alike.
 */
export function localDifference(
  book: SourceBook,
  first: SeriesResult,
  second: SeriesResult,
): readonly LocalDifference[] | null {
  const [a, b] = [first.local?.pieces, second.local?.pieces]
  if (!a || !b) return null
  const stretches = a.flatMap((one) =>
    b.flatMap((other) => {
      const overlap = overlapOf(one, other)
      return overlap && one.crr && other.crr ? [{ ...overlap, difference: differenceOf(book, other.crr, one.crr) }] : []
    }),
  )
  if (stretches.length === 0) return null
  const adjusted = holm(
    stretches.map(({ difference: { value, u, dof } }) => (u > 0 ? 2 * studentTCdf(-Math.abs(value) / u, dof) : 1)),
  )
  return stretches.map((stretch, i) => ({ ...stretch, adjustedP: adjusted[i]! }))
}

function overlapOf(a: LanePiece, b: LanePiece): { readonly from_m: number; readonly to_m: number } | null {
  const from_m = Math.max(a.from_m, b.from_m)
  const to_m = Math.min(a.to_m, b.to_m)
  return to_m - from_m >= shortest_m ? { from_m, to_m } : null
}
