import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { mannerOf } from '../../../web/format/locale.ts'
import { parseNumber, parseQuantity } from '../../../web/format/parse.ts'
import { units } from '../../../web/format/units.ts'
import { showForEntry } from '../../../web/format/value.ts'

const point = mannerOf('en-GB')
const comma = mannerOf('de-DE')

describe('numbers as people type them', () => {
  test.each([
    ['1.5', 1.5],
    ['1,5', 1.5],
    ['0,012', 0.012],
    ['.5', 0.5],
    [',5', 0.5],
    ['  12 ', 12],
    ['-3', -3],
    ['−3', -3],
    ['1 234.5', 1234.5],
    ["1'234,5", 1234.5],
    ['1,234.5', 1234.5],
    ['1.234,5', 1234.5],
    ['1,234,567', 1234567],
    ['3/8', 0.375],
    ['1 1/2', 1.5],
    ['-1/4', -0.25],
    ['1e-3', 0.001],
    ['2,5e2', 250],
    ['1.234', 1.234],
    ['0,123', 0.123],
    ['1234,567', 1234.567],
  ])('reads %s as %d, point or comma', (text, value) => {
    expect(parseNumber(text, point)).toEqual({ kind: 'number', value })
    expect(parseNumber(text, comma)).toEqual({ kind: 'number', value })
  })

  test('a comma before three digits is decimal for those who write commas and in doubt for the rest', () => {
    expect(parseNumber('1,234', comma)).toEqual({ kind: 'number', value: 1.234 })
    expect(parseNumber('1,234', point)).toMatchObject({ kind: 'two-readings', readings: [1.234, 1234] })
  })

  test.each(['abc', '1.2.3', '1..2', '--3', '12x4', '1/0', '1,23,4', 'NaN', 'Infinity', '0x10', '1e999', '.', ','])(
    'refuses %s',
    (text) => {
      expect(parseNumber(text, point)).toMatchObject({ kind: 'no-number' })
    },
  )

  test('an empty field is empty, not zero', () => {
    expect(parseNumber('  ', point)).toEqual({ kind: 'empty' })
  })

  test('what an entry field shows reads back as the same number in either manner', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1e6, max: 1e6, noNaN: true }).map((x) => Number(x.toPrecision(9))),
        fc.constantFrom(point, comma),
        (x, manner) => {
          fc.pre(x === 0 || Math.abs(x) > 1e-9)
          const parsed = parseNumber(showForEntry(x, manner), manner)
          expect(parsed.kind).toBe('number')
          if (parsed.kind === 'number') expect(parsed.value).toBeCloseTo(x, 9)
        },
      ),
      { seed: 7, numRuns: 500 },
    )
  })
})

describe('quantities', () => {
  test.each([
    ['750', units.mm, 0.75, null],
    ['75 cm', units.mm, 0.75, null],
    ['75cm', units.mm, 0.75, null],
    ['3/8 in', units.mm, 0.009525, null],
    ['1 1/2"', units.mm, 0.0381, null],
    ['750 ± 0,5', units.mm, 0.75, 0.0005],
    ['75 ± 0.1 cm', units.mm, 0.75, 0.001],
    ['750 mm ± 0.5 mm', units.mm, 0.75, 0.0005],
    ['750 +/- 2', units.mm, 0.75, 0.002],
    ['240 fps', units.Hz, 240, null],
    ['2,2°', units.deg, (2.2 * Math.PI) / 180, null],
    ['7.8 g/cm3', units.kg_m3, 7800, null],
    ['3 %', units.mm_per_m, 0.03, null],
  ])('reads %s in SI', (text, unit, value, U) => {
    const parsed = parseQuantity(text, unit, point)
    expect(parsed.kind).toBe('quantity')
    if (parsed.kind !== 'quantity') return
    expect(parsed.value).toBeCloseTo(value, 12)
    if (U === null) expect(parsed.U).toBeNull()
    else expect(parsed.U).toBeCloseTo(U, 12)
  })

  test('a unit of something else is named, not guessed', () => {
    expect(parseQuantity('5 kg', units.mm, point)).toEqual({ kind: 'foreign-unit', unit: 'kg' })
    expect(parseQuantity('5 furlongs', units.mm, point)).toEqual({ kind: 'foreign-unit', unit: 'furlongs' })
    expect(parseQuantity('steep', units.deg, point)).toMatchObject({ kind: 'no-number' })
  })
})
