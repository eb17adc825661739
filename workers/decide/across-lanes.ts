import type { SourceBook } from '../fit/estimates.ts'
import type { LaneResult, SeriesResult } from '../fit/results.ts'
import { noDeviations, valueOf, type SlowlaneRecord } from '../record/index.ts'
import { compare, type ComparedQuantity, type Comparison, type NoComparison, type Side } from './compare.ts'
import { holm } from './holm.ts'
import { hodgesLehmannCentre, signedRank, type SignedRank } from './rank-tests.ts'
import { pairedDifference, type MeanDifference, type NoScatter, type TooFew } from './two-samples.ts'
import type { Verdict } from './verdict.ts'

/** A finish of a lane that is held against another. */
export interface Choice {
  readonly laneId: string
  readonly finishId: string
}

export interface ComparedPair {
  readonly first: Choice
  readonly second: Choice
  readonly outcome: Comparison | NoComparison | NotThere
  /** p among all pairs of the table, by Holm; null where nothing could be compared. */
  readonly adjustedP: number | null
  /** Verdict that still stands among so many comparisons. */
  readonly verdict: Verdict | null
}

export type NotThere = { readonly kind: 'not-filmed'; readonly missing: Choice }

/** Where the record keeps the least change of the transit that matters [s]. */
export const transitMattersKey = 'matters.transit_s'

/** Least change that matters in a quantity, in its unit; of the transit a tenth of a second unless the person says (common practice, no source). */
export function mattersFor(record: SlowlaneRecord, quantity: ComparedQuantity): number {
  const { matters } = record.settings
  switch (quantity) {
    case 'crr':
      return matters.crr
    case 'exit-speed':
      return matters.exitSpeed_m_s
    case 'transit': {
      const said = record.settings.extra?.[transitMattersKey]
      return typeof said === 'number' && said > 0 ? said : 0.1
    }
  }
}

/** Pairs of a table, second against first, judged together. */
export function comparePairs(
  record: SlowlaneRecord,
  book: SourceBook,
  results: readonly LaneResult[],
  pairs: readonly { readonly first: Choice; readonly second: Choice }[],
  quantity: ComparedQuantity,
): readonly ComparedPair[] {
  const matters = mattersFor(record, quantity)
  const g_m_s2 = valueOf(record.settings.gravity.g_m_s2, record.sources, noDeviations)
  const outcomes = pairs.map(({ first, second }) => {
    const [a, b] = [resultOf(results, first), resultOf(results, second)]
    if (!a) return { kind: 'not-filmed', missing: first } as const
    if (!b) return { kind: 'not-filmed', missing: second } as const
    const sides = likestSides(a, b)
    if (!sides) return { kind: 'not-filmed', missing: a.series.length === 0 ? first : second } as const
    return compare(book, sides[0], sides[1], quantity, matters, g_m_s2)
  })
  const compared = outcomes.flatMap((outcome) => (outcome.kind === 'comparison' ? [outcome] : []))
  const adjusted = holm(compared.map(({ p }) => p))
  return pairs.map((pair, i): ComparedPair => {
    const outcome = outcomes[i]!
    if (outcome.kind !== 'comparison') return { ...pair, outcome, adjustedP: null, verdict: null }
    const adjustedP = adjusted[compared.indexOf(outcome)]!
    const claims = outcome.verdict !== 'cannot-tell' && outcome.verdict !== 'no-change-that-matters'
    const stands = !claims || adjustedP <= 1 - record.settings.coverage
    return { ...pair, outcome, adjustedP, verdict: stands ? outcome.verdict : 'cannot-tell' }
  })
}

const resultOf = (results: readonly LaneResult[], { laneId, finishId }: Choice): LaneResult | undefined =>
  results.find((result) => result.laneId === laneId && result.finishId === finishId)

/** The two series most alike: same direction, then same mounting, then same ball, then the most runs. */
function likestSides(a: LaneResult, b: LaneResult): readonly [Side, Side] | undefined {
  let best: readonly [Side, Side] | undefined
  let most = -1
  const runs = (series: SeriesResult) => Math.min(99, series.runs.length)
  for (const first of a.series)
    for (const second of b.series) {
      if (a === b && first === second && a.series.length > 1) continue
      const likeness =
        (first.direction === second.direction ? 1e6 : 0) +
        (first.travel === 1 ? 5e5 : 0) +
        (first.mountingId === second.mountingId ? 4e4 : 0) +
        (first.ballId === second.ballId ? 2e4 : 0) +
        Math.min(runs(first), runs(second)) * 100 +
        runs(first) +
        runs(second)
      if (likeness <= most) continue
      most = likeness
      best = [
        { lane: a, series: first },
        { lane: b, series: second },
      ]
    }
  return best
}

/** Each lane in one finish against the same lane in another. */
export function finishPairs(
  record: SlowlaneRecord,
  firstFinishId: string,
  secondFinishId: string,
): readonly { readonly first: Choice; readonly second: Choice }[] {
  return Object.keys(record.lanes).map((laneId) => ({
    first: { laneId, finishId: firstFinishId },
    second: { laneId, finishId: secondFinishId },
  }))
}

/** Every lane of one finish against one of them. */
export function lanePairs(
  record: SlowlaneRecord,
  firstLaneId: string,
  finishId: string,
): readonly { readonly first: Choice; readonly second: Choice }[] {
  return Object.keys(record.lanes)
    .filter((laneId) => laneId !== firstLaneId)
    .map((laneId) => ({ first: { laneId: firstLaneId, finishId }, second: { laneId, finishId } }))
}

/** All lanes together, each its own pair: does the treatment help lanes of this kind? */
export interface AcrossLanes {
  readonly lanes: number
  readonly paired: MeanDifference | NoScatter | TooFew
  readonly signedRank: SignedRank
  readonly centre: number
}

/** Mean difference over lanes, lanes being the sample: it speaks of further lanes of the same make, where the rows speak of these. Null below two. */
export function acrossLanes(pairs: readonly ComparedPair[], coverage: number): AcrossLanes | null {
  const compared = pairs.flatMap(({ outcome }) => (outcome.kind === 'comparison' ? [outcome] : []))
  if (compared.length < 2) return null
  const differences = compared.map(({ difference }) => difference.value)
  return {
    lanes: compared.length,
    paired: pairedDifference(
      compared.map(({ second }) => second.value),
      compared.map(({ first }) => first.value),
      coverage,
    ),
    signedRank: signedRank(differences),
    centre: hodgesLehmannCentre(differences),
  }
}
