import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { mannerOf } from '../../../web/format/locale.ts'
import { showPlain, showValue } from '../../../web/format/value.ts'

const point = mannerOf('en-GB')
const comma = mannerOf('de-DE')

describe('value and uncertainty', () => {
  test.each([
    [0.011234, 0.00213, '0.0112 ± 0.0021'],
    [0.3490449, 0.0341, '0.349 ± 0.034'],
    // JCGM 100:2008, 7.2.6: “y = 10.057 62 Ω with u = 27 mΩ … should be rounded to 10.058 Ω”.
    [10.05762, 0.027, '10.058 ± 0.027'],
    // The place is that of the rounded uncertainty: 0.0996 becomes 0.10, not 0.100.
    [1.23456, 0.0996, '1.23 ± 0.10'],
    [12345, 678, '12350 ± 680'],
    [-0.0042, 0.013, '−0.004 ± 0.013'],
    [-0.0001, 0.13, '0.00 ± 0.13'],
    [5, 2, '5.0 ± 2.0'],
  ])('shows %d with %d as %s', (value, U, text) => {
    expect(showValue(value, U, '', point).text).toBe(text)
  })

  test('writes the decimal comma where people do, and the unit behind', () => {
    expect(showValue(0.2307, 0.0021, 'm/s', comma).text).toBe('0,2307 ± 0,0021 m/s')
  })

  test('says what is not known in words', () => {
    expect(showValue(Number.NaN, 0.1, 'm', point).text).toBe('unknown')
    expect(showValue(1.234, Number.POSITIVE_INFINITY, 'm', point).text).toBe('1.2 ± unknown m')
  })

  test('a value taken as exact has no ±', () => {
    expect(showValue(9.80665, 0, 'm/s²', point)).toMatchObject({ value: '9.80665', U: null, text: '9.80665 m/s²' })
  })

  test('tiny and huge numbers go by powers of ten', () => {
    expect(showValue(1.234e-9, 2.1e-11, 's', point).text).toBe('(1.234 ± 0.021) × 10⁻⁹ s')
    expect(showPlain(2.5e-8, 3, point)).toBe('2.5 × 10⁻⁸')
  })

  test('never shows NaN, Infinity or a lone minus before zero, and both parts end at the same place', () => {
    fc.assert(
      fc.property(fc.double(), fc.double({ min: 0 }), (value, U) => {
        const { text, value: v, U: u } = showValue(value, U, 'mm', point)
        expect(text).not.toMatch(/NaN|Infinity|undefined|e[+-]?\d|−0(\.0*)?( |$)/)
        if (u !== null && u !== 'unknown' && !text.includes('×') && U > Math.abs(value) * 1e-9)
          expect(v.split('.')[1]?.length ?? 0).toBe(u.split('.')[1]?.length ?? 0)
      }),
      { seed: 11, numRuns: 2000 },
    )
  })

  test('what is shown is within half a unit of the last place', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1e4, max: 1e4, noNaN: true }),
        fc.double({ min: 1e-5, max: 1e3, noNaN: true }),
        (x, U) => {
          const shown = showValue(x, U, '', point)
          fc.pre(!shown.text.includes('×'))
          const back = Number(shown.value.replace('−', '-'))
          // Two digits of U leave at most 1/20 of it to rounding.
          expect(Math.abs(back - x)).toBeLessThanOrEqual(U * 0.0501 + 1e-12)
        },
      ),
      { seed: 13, numRuns: 1000 },
    )
  })
})
