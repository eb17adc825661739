import { doubtCodes, type Doubt as DoubtCode } from '../record/index.ts'
import { Doubt } from './doubts.ts'
import type { FoundRun } from './found-run.ts'
import { median } from './robust.ts'

/** A mark this many times less sure than the run's middle one is worth a person's look. */
const lookFrom = 2.5

/** The gravest reason first, and the record's word for it. */
const words: readonly (readonly [number, DoubtCode])[] = [
  [Doubt.outlier, 'misfit'],
  [Doubt.neighbour, 'near-another-ball'],
  [Doubt.oneEdge, 'one-edge'],
  [Doubt.blurred, 'blurred'],
  [Doubt.weakContrast, 'low-contrast'],
  [Doubt.poorFit, 'misfit'],
]

/**
 * The record's code of doubt for each mark of a found run. A reason alone is told by the mark's σ; a mark is put before a person only where it is
 * an outlier, or less sure than the run's marks usually are by more than a factor of 2.5.
 */
export function doubtCodesOf(run: Pick<FoundRun, 'sigma' | 'doubt'>): number[] {
  const usual = median(Float64Array.from(run.sigma))
  return Array.from(run.doubt, (bits, i) => {
    if ((bits & Doubt.outlier) === 0 && run.sigma[i]! <= lookFrom * usual) return 0
    const found = words.find(([bit]) => (bits & bit) !== 0)
    return found ? doubtCodes.indexOf(found[1]) : 0
  })
}
