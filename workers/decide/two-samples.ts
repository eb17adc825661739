import { studentTCdf, studentTQuantile } from '../fit/numerics/student-t.ts'
import { mean } from './rank-tests.ts'

/** A mean difference with its random standard error, Student's t and interval. */
export interface MeanDifference {
  readonly kind: 'difference'
  readonly difference: number
  readonly se: number
  readonly dof: number
  readonly t: number
  /** Two-sided. */
  readonly p: number
  readonly interval: readonly [number, number]
}
export type TooFew = { readonly kind: 'too-few'; readonly have: number; readonly need: number }
export type NoScatter = { readonly kind: 'no-scatter'; readonly difference: number }

/** Sample variance; at least two values. */
export function variance(values: readonly number[]): number {
  const centre = mean(values)
  return values.reduce((sum, value) => sum + (value - centre) ** 2, 0) / (values.length - 1)
}

function finish(difference: number, se: number, dof: number, coverage: number): MeanDifference | NoScatter {
  if (!(se > 0)) return { kind: 'no-scatter', difference }
  const t = difference / se
  const half = studentTQuantile((1 + coverage) / 2, dof) * se
  return {
    kind: 'difference',
    difference,
    se,
    dof,
    t,
    p: 2 * studentTCdf(-Math.abs(t), dof),
    interval: [difference - half, difference + half],
  }
}

/**
 * Difference of means x̄ − ȳ of two independent groups, each of its own scatter; at least two values a group.
 * Source: B. L. Welch, Biometrika 34 (1947) 28–35.
 */
export function welch(
  x: readonly number[],
  y: readonly number[],
  coverage: number,
): MeanDifference | TooFew | NoScatter {
  const fewest = Math.min(x.length, y.length)
  if (fewest < 2) return { kind: 'too-few', have: fewest, need: 2 }
  const vx = variance(x) / x.length
  const vy = variance(y) / y.length
  const dof = (vx + vy) ** 2 / (vx ** 2 / (x.length - 1) + vy ** 2 / (y.length - 1))
  return finish(mean(x) - mean(y), Math.sqrt(vx + vy), dof, coverage)
}

/** Mean of paired differences x − y; at least two pairs. Source: "Student", Biometrika 6 (1908) 1–25. */
export function pairedDifference(
  x: readonly number[],
  y: readonly number[],
  coverage: number,
): MeanDifference | TooFew | NoScatter {
  if (x.length !== y.length) throw new RangeError(`${x.length} values cannot be paired with ${y.length}.`)
  if (x.length < 2) return { kind: 'too-few', have: x.length, need: 2 }
  const differences = x.map((value, i) => value - y[i]!)
  return finish(
    mean(differences),
    Math.sqrt(variance(differences) / differences.length),
    differences.length - 1,
    coverage,
  )
}
