import { describe, expect, test } from 'vitest'
import {
  acrossLanes,
  comparePairs,
  finishPairs,
  localDifference,
  noComparisonSentence,
  overlappingRuns,
  overlappingSentence,
  refitCost,
  refitSentence,
  settlingSentence,
  verdictSentence,
  type Comparison,
} from '../../../workers/decide/index.ts'
import { laneResults, sourceBookOf, type SourceBook } from '../../../workers/fit/index.ts'
import { seededRandom } from '../../../workers/fit/numerics/random.ts'
import type { Distribution } from '../../../workers/record/index.ts'
import { compareCoverage, comparePower } from '../../bench/decide.ts'
import { constantAcceleration, RecordBuilder } from '../../support/record-builder.ts'
import { gravity, grooveK, madeLane, madeRecord } from '../../support/made-lane.ts'

const degree = Math.PI / 180
const tenth: Distribution = { kind: 'rectangular', half: 0.1 * degree }
const source = (id: string) => ({ id, distribution: tenth, u: (0.1 * degree) / Math.sqrt(3) })
const book: SourceBook = {
  coverage: 0.95,
  sources: Object.fromEntries(
    ['one', 'other'].map((id) => [id, { id, name: id, unit: 'rad' as const, distribution: tenth }]),
  ),
}

const rough = [0.0101, 0.0105, 0.0103, 0.0107, 0.0104]
const smooth = [0.0063, 0.0066, 0.0062, 0.0064, 0.0065]

function pairOf(first: Parameters<typeof madeLane>[1], second: Parameters<typeof madeLane>[1], lanes = ['A']) {
  const record = madeRecord(lanes)
  const results = [madeLane(book, first), madeLane(book, { finish: 'sanded', ...second })]
  const [pair] = comparePairs(record, book, results, finishPairs(record, 'cut', 'sanded'), 'crr')
  return { record, pair: pair!, results }
}
const comparisonOf = (pair: { outcome: unknown }) => pair.outcome as Comparison

describe('finish against finish', () => {
  test('on one mounting the slope cancels: U is that of the runs alone', () => {
    const shared = { slopeSource: source('one'), slopeError_rad: 0.05 * degree }
    const { pair } = pairOf({ crr: rough, ...shared }, { crr: smooth, ...shared })
    const { difference, systematic_u } = comparisonOf(pair)
    expect(difference.value).toBeCloseTo(0.0064 - 0.0104, 5)
    expect(systematic_u).toBeLessThan(1e-9)
    expect(difference.U).toBeLessThan(0.0003)
    expect(pair.verdict).toBe('less')
    expect(verdictSentence(pair)).toMatch(/^Yes: C_rr fell by 0\.0040\d? ± 0\.000\d+\.$/)
  })

  test('a lane fixed anew pays for two slopes, and is told what and how to avoid it', () => {
    const { pair, record } = pairOf(
      { crr: rough, slopeSource: source('one') },
      { crr: smooth, slopeSource: source('other'), mounting: 'again' },
    )
    const angle = (id: string) => ({ kind: 'angle' as const, angle_rad: { value: 0.035, sources: [id] } })
    record.mountings['on-A']!.slope = angle('one')
    record.mountings['again'] = { id: 'again', laneId: 'A', name: 'second', slope: angle('other') }
    const comparison = comparisonOf(pair)
    expect(comparison.sameMounting).toBe(false)
    const cost = refitCost(record, book, comparison, ['on-A', 'again'])!
    expect(cost.slope_u).toBeCloseTo(Math.SQRT2 * source('one').u, 5)
    expect(cost.unmoved_U).toBeLessThan(cost.U / 5)
    expect(refitSentence(cost, 'crr')).toContain('had it stayed on its supports')
    record.mountings['again'].slope = angle('one')
    expect(refitCost(record, book, comparison, ['on-A', 'again'])!.own).toEqual([])
  })

  test('few runs that scatter: cannot tell yet, with the number that would settle it', () => {
    const { pair } = pairOf(
      { crr: [0.0075, 0.0081, 0.0077, 0.0083, 0.0074] },
      { crr: [0.0071, 0.0076, 0.0066, 0.0075, 0.0069] },
    )
    expect(pair.verdict).not.toBe('less')
    const { settling } = comparisonOf(pair)
    if (settling.kind !== 'more-runs') throw new Error(settling.kind)
    expect(settling.more).toBeGreaterThan(0)
    expect(settlingSentence(comparisonOf(pair))).toContain(`${settling.each} in all`)
  })

  test('many lanes without any change: Holm keeps the lot from claiming one', () => {
    const random = seededRandom(11)
    const lanes = Array.from({ length: 12 }, (_, i) => `L${i % 10}`).filter((x, i, all) => all.indexOf(x) === i)
    let claims = 0
    for (let round = 0; round < 100; round++) {
      const record = madeRecord(lanes)
      const draw = () => Array.from({ length: 5 }, () => 0.008 + 0.0004 * random.normal())
      const results = lanes.flatMap((lane) => [
        madeLane(book, { lane, crr: draw() }),
        madeLane(book, { lane, finish: 'sanded', crr: draw() }),
      ])
      const pairs = comparePairs(record, book, results, finishPairs(record, 'cut', 'sanded'), 'crr')
      if (pairs.some(({ verdict }) => verdict !== 'cannot-tell' && verdict !== 'no-change-that-matters')) claims++
    }
    // 5 % at most are allowed; 13 of 100 would come once in a thousand.
    expect(claims).toBeLessThan(13)
  })

  test('lanes as pairs: the mean change over lanes, with every lane alike', () => {
    const record = madeRecord(['A', 'B', 'C'])
    const results = ['A', 'B', 'C'].flatMap((lane, i) => [
      madeLane(book, { lane, crr: rough.map((c) => c + i * 0.001) }),
      madeLane(book, { lane, finish: 'sanded', crr: smooth.map((c) => c + i * 0.0011) }),
    ])
    const across = acrossLanes(comparePairs(record, book, results, finishPairs(record, 'cut', 'sanded'), 'crr'), 0.95)!
    expect(across.lanes).toBe(3)
    if (across.paired.kind !== 'difference') throw new Error(across.paired.kind)
    expect(across.paired.difference).toBeCloseTo(0.0064 - 0.0104 + 0.0001, 4)
  })
})

describe('bad input gets a sentence', () => {
  test('one run on a side', () => {
    const { pair, record } = pairOf({ crr: [0.01] }, { crr: smooth })
    if (pair.outcome.kind !== 'too-few-runs') throw new Error(pair.outcome.kind)
    expect(noComparisonSentence(record, pair.outcome)).toContain('1 run against 5 runs')
  })

  test('two runs a side are compared, and their permutation can never reach 5 %', () => {
    const { pair } = pairOf({ crr: rough.slice(0, 2) }, { crr: smooth.slice(0, 2) })
    expect(comparisonOf(pair).permutation()!.leastPossible).toBeCloseTo(1 / 3, 12)
  })

  test('equal sets', () => {
    const { record, results } = pairOf({ crr: rough }, { crr: smooth })
    const same = { laneId: 'A', finishId: 'cut' }
    const [pair] = comparePairs(record, book, results, [{ first: same, second: same }], 'crr')
    if (pair!.outcome.kind !== 'same-runs') throw new Error(pair!.outcome.kind)
    expect(noComparisonSentence(record, pair!.outcome)).toContain('does not differ from itself')
  })

  test('a lane without a run in one finish', () => {
    const { record, results } = pairOf({ crr: rough }, { crr: smooth }, ['A', 'B'])
    const pairs = comparePairs(record, book, results, finishPairs(record, 'cut', 'sanded'), 'crr')
    if (pairs[1]!.outcome.kind !== 'not-filmed') throw new Error(pairs[1]!.outcome.kind)
    expect(noComparisonSentence(record, pairs[1]!.outcome)).toBe('Lane B has no run in “as cut”.')
  })

  test('a ball marked twice', () => {
    const a = (gravity * (Math.sin(2 * degree) - 0.008 * Math.cos(2 * degree))) / grooveK
    const builder = new RecordBuilder().lane('A', { slope_rad: 2 * degree })
    const s = constantAcceleration(0.02, 0.2, a)
    builder.run({ s, to: 380 }).run({ s, to: 380 }).run({ s, from: 500, to: 700 })
    const [overlap, ...more] = overlappingRuns(builder.record, laneResults(builder.record))
    expect(more).toEqual([])
    expect(overlap).toMatchObject({ first: 'run1', second: 'run2' })
    expect(overlappingSentence(builder.record, overlap!)).toContain('one ball was marked twice')
  })
})

describe('from marks to a verdict', () => {
  const random = seededRandom(7)
  const noise = () => [0.3 * random.normal(), 0.3 * random.normal()] as const
  const rolling = (crr: number) => (gravity * (Math.sin(2 * degree) - crr * Math.cos(2 * degree))) / grooveK
  const builder = new RecordBuilder()
  const angle = builder.stated(2 * degree, 'inclinometer', tenth, { unit: 'rad' })
  builder.lane('A', { slope_rad: 2 * degree, slope: { kind: 'angle', angle_rad: angle } }).finish('sanded', 1)
  for (let i = 0; i < 5; i++) {
    builder.run({
      s: constantAcceleration(0.02, 0.2, rolling(0.011 + 0.0002 * random.normal())),
      to: 380,
      noise_px: noise,
      sigma_px: 0.3,
    })
    builder.run({
      s: constantAcceleration(0.02, 0.2, rolling(0.007 + 0.0002 * random.normal())),
      to: 360,
      finish: 'sanded',
      noise_px: noise,
      sigma_px: 0.3,
    })
  }
  const { record } = builder
  const results = laneResults(record)
  const compared = sourceBookOf(record)

  test('a true fall of 0.004 is found within U, though each C_rr alone is uncertain by its slope', () => {
    const [pair] = comparePairs(record, compared, results, finishPairs(record, 'cut', 'sanded'), 'crr')
    const { difference, first } = comparisonOf(pair!)
    expect(Math.abs(difference.value + 0.004)).toBeLessThan(difference.U)
    expect(difference.U).toBeLessThan(first.U / 2)
    expect(pair!.verdict).toBe('less')
  })

  test('where along the lane: every stretch fell, none by itself stands apart from the fall', () => {
    const sides = ['cut', 'sanded'].map((id) => results.find(({ finishId }) => finishId === id)!.series[0]!)
    const stretches = localDifference(compared, sides[0]!, sides[1]!)!
    expect(stretches.length).toBeGreaterThan(2)
    for (const { difference } of stretches) expect(Math.abs(difference.value + 0.004)).toBeLessThan(2 * difference.U)
  })
})

test('intervals cover and changes are found as often as promised (a small count; the bench counts more)', () => {
  // Binomial limits of 1 in 10 000 about 95 % of 800, and about the 98.5 % that theory gives for the power.
  expect(Math.abs(compareCoverage(800, 21) - 0.955)).toBeLessThan(0.033)
  expect(comparePower(400, 22)).toBeGreaterThan(0.95)
})
