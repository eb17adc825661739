import fc from 'fast-check'
import { expect, test } from 'vitest'
import { upperMedian } from '../../../workers/locate/middle-value.ts'

test('yields the entry in the middle of the sorted values, whatever they are, and leaves their order alone', () => {
  const value = fc.oneof(
    fc.double({ min: 0, max: 300, noNaN: true }),
    fc.constantFrom(0, 1e-300, 1, 1, 2, 1e9),
    fc.integer({ min: 0, max: 5 }),
  )
  fc.assert(
    fc.property(fc.array(value, { minLength: 1, maxLength: 700 }), (values) => {
      const given = Float64Array.from([...values, 7e77])
      const n = values.length
      const sorted = values.toSorted((a, b) => a - b)
      expect(
        upperMedian(
          given,
          n,
          sorted.reduce((a, b) => a + b, 0),
        ),
      ).toBe(sorted[n >> 1])
      expect([...given]).toEqual([...values, 7e77])
    }),
    { seed: 5, numRuns: 400 },
  )
})
