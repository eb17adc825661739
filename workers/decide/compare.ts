import * as maths from '../elementary/maths.ts'
import { differenceOf, type SourceBook } from '../fit/estimates.ts'
import { seededRandom } from '../fit/numerics/random.ts'
import { studentTCdf } from '../fit/numerics/student-t.ts'
import type { LaneResult, SeriesResult } from '../fit/results.ts'
import type { Estimate } from '../record/index.ts'
import { smallestDetectable } from './detectable.ts'
import { systematicPart } from './linearised.ts'
import { hodgesLehmannShift, mean, permutationTest, type PermutationTest } from './rank-tests.ts'
import { runsToSettle, type Settling } from './settling.ts'
import { variance } from './two-samples.ts'
import { verdictOf, type Verdict } from './verdict.ts'

export const comparedQuantities = ['crr', 'exit-speed', 'transit'] as const
export type ComparedQuantity = (typeof comparedQuantities)[number]

/** One of the two sets of runs: a lane in a finish, and which of its series. */
export interface Side {
  readonly lane: LaneResult
  readonly series: SeriesResult
}

export interface Comparison {
  readonly kind: 'comparison'
  readonly quantity: ComparedQuantity
  /** Second minus first; uncertainty from the runs' scatter and from every source that the two do not share alike. */
  readonly difference: Estimate
  /** The series on both sides. */
  readonly sides: { readonly first: SeriesResult; readonly second: SeriesResult }
  /** Values that it is the difference of. */
  readonly first: Estimate
  readonly second: Estimate
  /** Each side from its runs one way, or from both directions, which need no slope. */
  readonly basis: Basis
  /** Part of the uncertainty that more runs would not reduce (one standard uncertainty). */
  readonly systematic_u: number
  readonly perRun: { readonly first: readonly number[]; readonly second: readonly number[] }
  /** Two-sided, with the sources' uncertainty in it. */
  readonly p: number
  /** Of the runs' scatter alone, without any bell curve. Thousands of deals: drawn when first asked for. */
  readonly permutation: () => PermutationTest | null
  readonly shift: number
  readonly matters: number
  readonly verdict: Verdict
  /** Smallest change that this many runs show four times in five; null from fewer than two runs a side. */
  readonly detectable: number | null
  readonly settling: Settling
  /** Standard deviation between runs, both sides taken together. */
  readonly scatter: number
  readonly sameMounting: boolean
  readonly sameBall: boolean
}

export type NoComparison =
  | { readonly kind: 'same-runs'; readonly runIds: readonly string[] }
  | { readonly kind: 'too-few-runs'; readonly first: number; readonly second: number; readonly need: 2 }
  | {
      readonly kind: 'other-directions'
      readonly first: SeriesResult['direction']
      readonly second: SeriesResult['direction']
    }
  | { readonly kind: 'no-value'; readonly quantity: ComparedQuantity; readonly side: 'first' | 'second' }

/**
 * Second set of runs against the first in one quantity. `matters`: the least change, in the quantity's unit, that would make a difference
 * to the person. `g_m_s2`: gravity. Sources that both sides share cancel before squaring; a mounting of its own does not.
 */
export function compare(
  book: SourceBook,
  first: Side,
  second: Side,
  quantity: ComparedQuantity,
  matters: number,
  g_m_s2: number,
): Comparison | NoComparison {
  const firstIds = new Set(first.series.runs.map((run) => run.runId))
  const both = second.series.runs.filter((run) => firstIds.has(run.runId)).map((run) => run.runId)
  if (both.length > 0) return { kind: 'same-runs', runIds: both }
  if (first.series.direction !== second.series.direction)
    return { kind: 'other-directions', first: first.series.direction, second: second.series.direction }
  const [n1, n2] = [first.series.runs.length, second.series.runs.length]
  if (n1 < 2 || n2 < 2) return { kind: 'too-few-runs', first: n1, second: n2, need: 2 }
  const [ofFirst, ofSecond] = [estimatesOf(first, quantity), estimatesOf(second, quantity)]
  if (ofFirst.length === 0) return { kind: 'no-value', quantity, side: 'first' }
  if (ofSecond.length === 0) return { kind: 'no-value', quantity, side: 'second' }
  const perRun = {
    first: runValues(first.series, quantity, g_m_s2),
    second: runValues(second.series, quantity, g_m_s2),
  }
  const differences = ofFirst.flatMap((a) =>
    ofSecond
      .filter((b) => b.basis === a.basis)
      .map((b) => ({
        basis: a.basis,
        estimate: differenceOf(book, withScatter(b.estimate, perRun.second), withScatter(a.estimate, perRun.first)),
      })),
  )
  if (differences.length === 0)
    return { kind: 'no-value', quantity, side: ofFirst[0]!.basis === 'both-directions' ? 'second' : 'first' }
  const { basis, estimate: difference } = differences.reduce((best, one) =>
    one.estimate.U < best.estimate.U ? one : best,
  )
  const systematic_u = systematicPart(difference)
  const scatter = Math.sqrt((variance(perRun.first) * (n1 - 1) + variance(perRun.second) * (n2 - 1)) / (n1 + n2 - 2))
  const p = difference.u > 0 ? 2 * studentTCdf(-Math.abs(difference.value) / difference.u, difference.dof) : 1
  return {
    kind: 'comparison',
    quantity,
    difference,
    sides: { first: first.series, second: second.series },
    first: ofFirst.find((one) => one.basis === basis)!.estimate,
    second: ofSecond.find((one) => one.basis === basis)!.estimate,
    basis,
    systematic_u,
    perRun,
    p,
    permutation: once(() => permutationTest(perRun.first, perRun.second, seededRandom(n1 * 1009 + n2).uniform)),
    shift: hodgesLehmannShift(perRun.first, perRun.second),
    matters,
    verdict: verdictOf(difference.interval, matters),
    detectable:
      scatter > 0 ? maths.hypot(smallestDetectable(harmonicRuns(n1, n2)) * scatter, 2.8 * systematic_u) : null,
    settling: runsToSettle({ difference: difference.value, scatter, systematic_u, matters, runs: Math.min(n1, n2) }),
    scatter,
    sameMounting: first.series.mountingId === second.series.mountingId,
    sameBall: first.series.ballId === second.series.ballId,
  }
}

function once<T>(work: () => T): () => T {
  let done: { readonly value: T } | null = null
  return () => (done ??= { value: work() }).value
}

/** Two groups of unlike size show as much as two of their harmonic mean; whole runs, rounded down. */
function harmonicRuns(n1: number, n2: number): number {
  return Math.max(2, Math.floor(2 / (1 / n1 + 1 / n2)))
}

type Basis = 'one-way' | 'both-directions'

/** The values that a side's record allows, by what they rest on. */
function estimatesOf(
  { lane, series }: Side,
  quantity: ComparedQuantity,
): readonly { readonly basis: Basis; readonly estimate: Estimate }[] {
  const oneWay = (estimate: Estimate | null | undefined) => (estimate ? [{ basis: 'one-way' as const, estimate }] : [])
  switch (quantity) {
    case 'crr': {
      const twoWay = lane.ways.find(
        (way) => way.kind === 'two-way' && way.ballId === series.ballId && way.mountingIds.includes(series.mountingId),
      )
      return [...oneWay(series.crr), ...(twoWay ? [{ basis: 'both-directions' as const, estimate: twoWay.crr }] : [])]
    }
    case 'exit-speed':
      return oneWay(series.exit?.typical)
    case 'transit':
      return oneWay(series.transit)
  }
}

/** The quantity run by run. Runs share slope and guide, so each run's C_rr differs from the mean by its own acceleration only. */
export function runValues(series: SeriesResult, quantity: ComparedQuantity, g_m_s2: number): number[] {
  switch (quantity) {
    case 'crr': {
      const crr = series.crr
      const k = series.inertiaFactor?.value
      if (!crr || k === undefined) return []
      const perAcceleration = k / (g_m_s2 * maths.cos(series.slope?.value ?? 0))
      const centre = mean(series.runs.map((run) => run.acceleration.value))
      return series.runs.map((run) => crr.value - perAcceleration * (run.acceleration.value - centre))
    }
    case 'exit-speed':
      return series.runs.flatMap((run) => (run.exit ? [run.exit.value] : []))
    case 'transit':
      return series.runs.flatMap((run) => (run.transit ? [run.transit.value] : []))
  }
}

/** A change must stand out against the scatter of runs even where a fit pooled them: the greater of the two random parts counts. */
function withScatter(estimate: Estimate, perRun: readonly number[]): Estimate {
  if (perRun.length < 2) return estimate
  const u = Math.sqrt(variance(perRun) / perRun.length)
  return u > estimate.random.u ? { ...estimate, random: { u, dof: perRun.length - 1 } } : estimate
}
