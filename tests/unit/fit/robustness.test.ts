import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  adviceSentence,
  checkSentence,
  flagSentence,
  improveFirst,
  laneResults,
  problemSentence,
  standingSentence,
} from '../../../workers/fit/index.ts'
import { monteCarlo } from '../../../workers/fit/monte-carlo.ts'
import { seededRandom } from '../../../workers/fit/numerics/random.ts'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import { constantAcceleration, RecordBuilder } from '../../support/record-builder.ts'

/** Every number anywhere in a result. */
function* numbersIn(item: unknown, path = ''): Generator<readonly [string, number]> {
  if (typeof item === 'number') yield [path, item]
  else if (item instanceof Map) for (const [key, inner] of item) yield* numbersIn(inner, `${path}.${String(key)}`)
  else if (typeof item === 'object' && item !== null)
    for (const [key, inner] of Object.entries(item)) yield* numbersIn(inner, `${path}.${key}`)
}

function sentencesOf(record: SlowlaneRecord): string[] {
  return laneResults(record).flatMap((result) => [
    ...result.problems.map((problem) => problemSentence(record, problem)),
    ...result.flags.map((flag) => flagSentence(record, flag)),
    ...result.advice.map(adviceSentence),
    ...result.checks.map(checkSentence),
    ...result.series.flatMap(({ model }) => model.candidates.map(standingSentence)),
    improveFirst(result) ?? '',
  ])
}

/** Infinity is an honest answer for degrees of freedom and for a U that does not exist yet; NaN never is. */
function expectSound(record: SlowlaneRecord): void {
  for (const [path, value] of numbersIn(laneResults(record))) expect(Number.isNaN(value), path).toBe(false)
  for (const sentence of sentencesOf(record)) expect(sentence).not.toMatch(/NaN|undefined|null|\[object/)
}

describe('whatever the marks are', () => {
  test('marks thrown anywhere give numbers or reasons, never NaN', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            x: fc.double({ min: -2000, max: 4000, noNaN: true }),
            y: fc.double({ min: -2000, max: 3000, noNaN: true }),
          }),
          { minLength: 0, maxLength: 14 },
        ),
        fc.constantFrom('down' as const, 'up' as const, 'level' as const),
        (places, direction) => {
          const builder = new RecordBuilder()
            .lane('A')
            .run({ s: () => 0, to: 4 * Math.max(places.length - 1, 0), direction })
          const { marks } = builder.record.runs['run1']!
          for (const [i, { x, y }] of places.entries()) {
            if (i >= marks.x.length) break
            marks.x[i] = x
            marks.y[i] = y
          }
          expectSound(builder.record)
        },
      ),
      { seed: 2, numRuns: 60 },
    )
  })

  test('any motion on any slope gives numbers or reasons', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -0.7, max: 0.7, noNaN: true }),
        fc.double({ min: -1, max: 1, noNaN: true }),
        fc.double({ min: -0.6, max: 0.6, noNaN: true }),
        fc.integer({ min: 3, max: 40 }),
        (slope, v0, a, marks) => {
          const builder = new RecordBuilder()
          const angle = builder.stated(slope, 'angle', { kind: 'rectangular', half: 0.002 }, { unit: 'rad' })
          builder.lane('A', { slope: { kind: 'angle', angle_rad: angle } })
          const random = seededRandom(4)
          for (let i = 0; i < 2; i++)
            builder.run({ s: constantAcceleration(0.3, v0, a), to: 4 * marks, noise_px: () => [random.normal(), 0] })
          expectSound(builder.record)
        },
      ),
      { seed: 3, numRuns: 60 },
    )
  })

  test('runs that cover no common part of the lane keep their accelerations and say what is missing', () => {
    const builder = new RecordBuilder().lane('A')
    builder
      .run({ s: constantAcceleration(0.02, 0.3, 0.1), to: 120 })
      .run({ s: constantAcceleration(0.4, 0.3, 0.1), to: 120 })
    const [result] = laneResults(builder.record)
    expect(result!.stretch).toBeNull()
    expect(result!.problems.map(({ kind }) => kind)).toContain('no-common-stretch')
    expect(result!.series[0]!.acceleration.value).toBeCloseTo(0.1, 7)
    expectSound(builder.record)
  })

  test('exact marks without any noise, and with a stated scatter that is far too small, are fitted', () => {
    for (const sigma_px of [0.5, 1e-9]) {
      const builder = new RecordBuilder().lane('A')
      for (let i = 0; i < 3; i++) builder.run({ s: constantAcceleration(0.02, 0.2, 0.12), to: 360, sigma_px })
      expectSound(builder.record)
      expect(laneResults(builder.record)[0]!.series[0]!.acceleration.value).toBeCloseTo(0.12, 7)
    }
  })
})

test('results do not depend on the order of runs or on other lanes in the record', () => {
  const noise = (seed: number) => {
    const random = seededRandom(seed)
    return () => [0.4 * random.normal(), 0.4 * random.normal()] as const
  }
  const build = (order: readonly number[], more: boolean) => {
    const builder = new RecordBuilder().lane('A')
    if (more) builder.lane('B', { z_m: 0.15 })
    for (const i of order)
      builder.run({ lane: 'A', s: constantAcceleration(0.02, 0.2 + 0.01 * i, 0.12), to: 340, noise_px: noise(i) })
    if (more) builder.run({ lane: 'B', s: constantAcceleration(0.02, 0.2, 0.1), to: 340, noise_px: noise(9) })
    return laneResults(builder.record)[0]!.crr!
  }
  const [a, b] = [build([1, 2, 3], false), build([3, 1, 2], true)]
  expect(b.value).toBeCloseTo(a.value, 10)
  expect(b.U).toBeCloseTo(a.U, 9)
})

test('the same seed draws the same Monte Carlo, and stopping it early costs nothing', () => {
  const builder = new RecordBuilder().lane('A').run({ s: constantAcceleration(0.02, 0.2, 0.12), to: 300 })
  const whole = () => {
    const draws = monteCarlo(builder.record, 'A', 'cut', 60, seededRandom(5), 20)
    const steps: number[] = []
    for (;;) {
      const step = draws.next()
      if (step.done) return { steps, outcome: step.value }
      steps.push(step.value.done)
    }
  }
  const [first, second] = [whole(), whole()]
  expect(first.steps).toEqual([20, 40])
  expect(first.outcome).toEqual(second.outcome)
  expect(first.outcome.results.map(({ quantity }) => quantity.kind)).toEqual(['acceleration', 'entry', 'exit', 'crr'])
})

test('a spin that goes farther per turn than rolling allows is called slip, one that goes less far a wrong radius', () => {
  const builder = new RecordBuilder().lane('A').run({ s: constantAcceleration(0.02, 0.2, 0.12), to: 300 })
  // 19.05 mm ball in a 90° groove: 2π·6.735 mm = 42.32 mm per turn.
  const kinds = (perTurn_m: number) => {
    builder.record.runs['run1']!.spin = { perTurn_m, u_m: 0.0005, turns: 8 }
    return laneResults(builder.record)[0]!.flags.map(({ kind }) => kind)
  }
  expect(kinds(0.0425)).not.toContain('slip')
  expect(kinds(0.047)).toContain('slip')
  expect(kinds(0.038)).toContain('rolling-radius-disagrees')
})
