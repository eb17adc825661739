import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { combineEstimates, differenceOf, estimateOf, halfWidth, type SourceBook } from '../../../workers/fit/index.ts'
import { coverageFactor } from '../../../workers/fit/numerics/student-t.ts'
import { seededRandom } from '../../../workers/fit/numerics/random.ts'

const book: SourceBook = {
  coverage: 0.95,
  sources: {
    bell: { id: 'bell', name: 'bell', unit: 'm', distribution: { kind: 'normal', u: 1 } },
    few: { id: 'few', name: 'few', unit: 'm', distribution: { kind: 'normal', u: 1, dof: 4 } },
    box: { id: 'box', name: 'box', unit: 'm', distribution: { kind: 'rectangular', half: 1 } },
    tent: { id: 'tent', name: 'tent', unit: 'm', distribution: { kind: 'triangular', half: 1 } },
  },
}
const none = { u: 0, dof: Infinity }

describe('the interval of one part is that of its distribution', () => {
  test.each([
    ['rectangle, 0.95 of its half width', 'box', 0.95 * Math.sqrt(3)],
    ['triangle, 1 − √0.05 of its half width', 'tent', (1 - Math.sqrt(0.05)) * Math.sqrt(6)],
    ['normal', 'bell', 1.959964],
    // Student t, 4 degrees of freedom: JCGM 100:2008, table G.2.
    ['normal with 4 degrees of freedom', 'few', 2.7764],
  ])('%s', (_, id, expected) => {
    expect(estimateOf(book, 'm', 0, new Map([[id, 1]]), none).U).toBeCloseTo(expected, 3)
  })
})

test('two equal rectangles give the trapezoid’s limit case, the triangle: 1 − √0.05 of its half width', () => {
  const parts = [
    { u: 1, shape: 'rectangular' as const },
    { u: 1, shape: 'rectangular' as const },
  ]
  expect(halfWidth(parts, 0.95)).toBeCloseTo((1 - Math.sqrt(0.05)) * 2 * Math.sqrt(3), 4)
})

test('the interval of any mixture is that of random draws from it', () => {
  fc.assert(
    fc.property(
      fc.array(
        fc.record({
          u: fc.double({ min: 0.05, max: 1, noNaN: true }),
          shape: fc.constantFrom('rectangular' as const, 'triangular' as const),
        }),
        { minLength: 1, maxLength: 4 },
      ),
      fc.double({ min: 0.05, max: 1, noNaN: true }),
      (shaped, bell) => {
        const random = seededRandom(3)
        const draws = Array.from({ length: 20_000 }, () => {
          let sum = bell * random.normal()
          for (const { u, shape } of shaped)
            sum +=
              shape === 'rectangular'
                ? u * Math.sqrt(3) * random.between(-1, 1)
                : u * Math.sqrt(6) * (random.uniform() - random.uniform())
          return Math.abs(sum)
        }).sort((a, b) => a - b)
        const U = halfWidth([...shaped, { u: bell, shape: { dof: Infinity } }], 0.95)
        // 20 000 draws leave the 95 % point uncertain by about 1 %.
        expect(U / draws[19_000]!).toBeGreaterThan(0.96)
        expect(U / draws[19_000]!).toBeLessThan(1.04)
      },
    ),
    { seed: 1, numRuns: 25 },
  )
})

test('bell-shaped parts follow Student’s t with the Welch–Satterthwaite degrees of freedom', () => {
  const estimate = estimateOf(book, 'm', 0, new Map([['bell', 1]]), { u: 2, dof: 3 })
  // (1 + 4)²/(16/3) = 4.6875 (JCGM 100:2008, eq. G.2b).
  expect(estimate.dof).toBeCloseTo(4.6875, 10)
  expect(estimate.U).toBeCloseTo(coverageFactor(0.95, 4.6875) * Math.sqrt(5), 10)
})

test('what two results share cancels in their difference and adds in their sum', () => {
  const a = estimateOf(
    book,
    'm',
    5,
    new Map([
      ['box', 0.3],
      ['bell', 0.1],
    ]),
    { u: 0.01, dof: 10 },
  )
  const b = estimateOf(book, 'm', 4, new Map([['box', 0.3]]), { u: 0.02, dof: 20 })
  const difference = differenceOf(book, a, b)
  expect(difference.value).toBe(1)
  expect(difference.u).toBeCloseTo(Math.hypot(0.1, 0.01, 0.02), 12)
  const sum = combineEstimates(book, 'm', [
    { weight: 1, estimate: a },
    { weight: 1, estimate: b },
  ])
  expect(sum.u).toBeCloseTo(Math.hypot(0.6, 0.1, 0.01, 0.02), 12)
})

test('an effect of a source that nobody knows is a broken invariant', () => {
  expect(() => estimateOf(book, 'm', 0, new Map([['ghost', 1]]), none)).toThrow('ghost')
})
