import { comparePairs, finishPairs, lanePairs, type ComparedPair } from '../../../workers/decide/across-lanes.ts'
import type { ComparedQuantity } from '../../../workers/decide/compare.ts'
import { sourceBookOf, type LaneResult, type SourceBook } from '../../../workers/fit/index.ts'
import { assertNever, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { resultsStore } from '../results/results-store.ts'

/** What is held against what. */
export type Question =
  | { readonly kind: 'finishes'; readonly first: string; readonly second: string }
  | { readonly kind: 'lanes'; readonly finishId: string; readonly firstLane: string }
  | { readonly kind: 'clips'; readonly first: string; readonly second: string }

/** What a question is answered from: the record and its results, or both regrouped by clip. */
export interface Grouped {
  readonly record: SlowlaneRecord
  readonly results: readonly LaneResult[]
  /** Groups that stand for the two sides where finishes do not. */
  readonly sides: { readonly first: string; readonly second: string } | null
}

/** Finishes that any lane was filmed in, in their order. */
export function filmedFinishes(record: SlowlaneRecord, results: readonly LaneResult[]): readonly string[] {
  const filmed = new Set(results.filter((result) => result.series.length > 0).map((result) => result.finishId))
  return Object.values(record.finishes)
    .filter(({ id }) => filmed.has(id))
    .sort((a, b) => a.order - b.order)
    .map(({ id }) => id)
}

/** Clips with runs, in the record's order. */
export function markedClips(record: SlowlaneRecord): readonly string[] {
  const marked = new Set(Object.values(record.runs).map((run) => run.clipId))
  return Object.keys(record.clips).filter((id) => marked.has(id))
}

/** Lanes filmed in a finish, in the record's order. */
export const lanesIn = (results: readonly LaneResult[], finishId: string): readonly string[] =>
  results.filter((result) => result.finishId === finishId && result.series.length > 0).map((result) => result.laneId)

/**
 * The question that the record asks by itself: the first finish against the last; with one finish only, its lanes against each other; with one
 * lane only, its first clip against its last.
 */
export function firstQuestion(record: SlowlaneRecord, results: readonly LaneResult[]): Question | null {
  const finishes = filmedFinishes(record, results)
  const [first, last] = [finishes[0], finishes.at(-1)]
  if (first === undefined || last === undefined) return null
  if (first !== last) return { kind: 'finishes', first, second: last }
  const lanes = lanesIn(results, first)
  if (lanes.length > 1) return { kind: 'lanes', finishId: first, firstLane: lanes[0]! }
  const clips = markedClips(record)
  return clips.length > 1 ? { kind: 'clips', first: clips[0]!, second: clips.at(-1)! } : null
}

const books = new WeakMap<SlowlaneRecord, { readonly book: SourceBook; readonly of: SlowlaneRecord | null }>()

/**
 * Sources of a record, made once for each state of it. While results lag behind a change, their effects may still name what the change took away
 * (a bar, a lens that nobody had looked at): the record they were computed from knows those.
 */
export function bookOf(record: SlowlaneRecord): SourceBook {
  const { of } = resultsStore.getState()
  const held = books.get(record)
  if (held?.of === of) return held.book
  const own = sourceBookOf(record)
  const book = of && of !== record ? { ...own, sources: { ...sourceBookOf(of).sources, ...own.sources } } : own
  books.set(record, { book, of })
  return book
}

/** The rows of the table. */
export function answers(
  { record, results, sides }: Grouped,
  question: Question,
  quantity: ComparedQuantity,
): readonly ComparedPair[] {
  return comparePairs(record, bookOf(record), results, pairsOf(record, sides, question), quantity)
}

function pairsOf(record: SlowlaneRecord, sides: Grouped['sides'], question: Question): ReturnType<typeof finishPairs> {
  switch (question.kind) {
    case 'finishes':
      return finishPairs(record, question.first, question.second)
    case 'lanes':
      return lanePairs(record, question.firstLane, question.finishId)
    case 'clips':
      return sides ? finishPairs(record, sides.first, sides.second) : []
    default:
      return assertNever(question)
  }
}

const firstAnswers = new WeakMap<readonly LaneResult[], readonly ComparedPair[]>()

/** Answers to the record's own question in C_rr, for the stations row: computed once for each set of results. `record`: what they were computed from. */
export function ownAnswers(record: SlowlaneRecord, results: readonly LaneResult[]): readonly ComparedPair[] {
  let pairs = firstAnswers.get(results)
  if (!pairs) {
    const question = firstQuestion(record, results)
    pairs = question && question.kind !== 'clips' ? answers({ record, results, sides: null }, question, 'crr') : []
    firstAnswers.set(results, pairs)
  }
  return pairs
}

/** “lane A’s”, where a pair compares two lanes; null where it is one lane in two finishes. */
export const otherLane = (record: SlowlaneRecord, { first, second }: ComparedPair): string | null =>
  first.laneId === second.laneId ? null : `lane ${record.lanes[first.laneId]?.key ?? '?'}’s`
