import fc from 'fast-check'
import { strFromU8 } from 'fflate'
import { describe, expect, test } from 'vitest'
import { laneResults } from '../../../workers/fit/index.ts'
import {
  csvBytes,
  numberText,
  plainText,
  resultsBundle,
  safeText,
  zipOf,
  type BundleFile,
  type Table,
} from '../../../workers/handover/index.ts'
import { RecordBuilder, constantAcceleration } from '../../support/record-builder.ts'

const table = (cells: readonly (string | number | boolean | null)[]): Table => ({
  name: 't',
  title: 'T',
  description: '',
  fields: cells.map((cell, i) => ({
    name: `c${i}`,
    type: typeof cell === 'number' ? 'number' : 'string',
    title: '',
  })),
  primaryKey: [],
  foreignKeys: [],
  rows: () => [cells],
})
const written = (...cells: (string | number | boolean | null)[]): string =>
  strFromU8(csvBytes(table(cells)))
    .split('\r\n')
    .slice(1)
    .join('\r\n')

describe('cells', () => {
  test.each([
    '=1+1',
    '+1',
    '-1',
    '@SUM(A1)',
    '\t=1',
    '\r=1',
    '\n=1',
    '  =1',
    '＝1',
    '＋1',
    '－1',
    '＠x',
    "'=1",
    '=cmd|x!A0',
  ])('text %j is no formula in a spreadsheet, and comes back as it was', (text) => {
    expect(safeText(text)).toBe(`'${text}`)
    expect(plainText(safeText(text))).toBe(text)
  })

  test('numbers stay numbers: −1 has no apostrophe', () => {
    expect(written(-1, -1.5e-7, 0, 1e300)).toBe('-1,-1.5e-7,0,1e+300\r\n')
  })

  test('any text goes there and back, and never begins like a formula', () => {
    fc.assert(
      fc.property(fc.string({ unit: fc.constantFrom(...'=+-@\'"\t\r\n ,;aé＝'), maxLength: 8 }), (text) => {
        expect(plainText(safeText(text))).toBe(text)
        expect(safeText(text)).not.toMatch(/^\s*[=+\-@＝＋－＠]|^[\t\r\n]/)
      }),
      { seed: 1, numRuns: 2000 },
    )
  })

  test('any number comes back to the last bit', () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (x) => {
        expect(numberText(x)).toMatch(/^-?\d+(\.\d+)?(e[+-]\d+)?$/)
        expect(Object.is(Number(numberText(x)), x)).toBe(true)
      }),
      { seed: 2, numRuns: 2000 },
    )
    expect(numberText(Infinity)).toBe('INF')
    expect(numberText(NaN)).toBe('')
  })

  test('commas, quotes and line ends are quoted as RFC 4180 says; lines end in CR LF', () => {
    expect(written('a,b', 'say "so"', 'two\r\nlines', null, true)).toBe('"a,b","say ""so""","two\r\nlines",,true\r\n')
  })
})

function twoLanes(): RecordBuilder {
  const builder = new RecordBuilder().finish('sanded', 1).lane('A').lane('B', { z_m: 0.2 })
  for (const lane of ['A', 'B'])
    for (const finish of ['cut', 'sanded'])
      for (const v of [0.3, 0.32, 0.31])
        builder.run({ lane, finish, s: constantAcceleration(0.01, v, finish === 'cut' ? 0.1 : 0.13), to: 200 })
  return builder
}

const options = { createdAt: '2026-01-02T03:04:05Z', version: '1.2.3' } as const
const lines = (files: readonly BundleFile[], path: string): string[] =>
  strFromU8(files.find((file) => file.path === path)!.bytes)
    .trimEnd()
    .split('\r\n')

describe('the bundle', () => {
  test('is the same bytes for the same record, zipped too', () => {
    const { record } = twoLanes()
    const [one, two] = [resultsBundle(record, options), resultsBundle(structuredClone(record), options)]
    expect(two.map(({ path }) => path)).toEqual(one.map(({ path }) => path))
    for (const [i, { path, bytes }] of one.entries()) expect(Buffer.compare(two[i]!.bytes, bytes), path).toBe(0)
    expect(Buffer.compare(zipOf(one, options.createdAt), zipOf(two, options.createdAt))).toBe(0)
  })

  test('holds a lane without any result as a row that says why', () => {
    const builder = new RecordBuilder().lane('A')
    builder.run({ s: constantAcceleration(0.01, 0.3, 0), to: 4 })
    const files = resultsBundle(builder.record, options)
    const [head = '', row = ''] = lines(files, 'lanes.csv')
    expect(head.split(',')[0]).toBe('lane_id')
    expect(row).toMatch(/^A,cut,/)
    expect(row).toContain('usable mark')
    expect(lines(files, 'runs.csv')[1]).toContain('usable mark')
    expect(lines(files, 'budget.csv')).toHaveLength(1)
  })

  test('of an empty record is all tables with their heads alone', () => {
    const { record } = new RecordBuilder()
    for (const name of ['lanes', 'runs', 'marks', 'samples', 'comparisons', 'budget'])
      expect(lines(resultsBundle(record, options), `${name}.csv`)).toHaveLength(1)
  })

  test('with one lane asked for holds the rows of that lane as they are among all', () => {
    const { record } = twoLanes()
    const results = laneResults(record)
    const all = resultsBundle(record, { ...options, results })
    const one = resultsBundle(record, { ...options, results, laneIds: ['B'] })
    for (const name of ['lanes', 'samples', 'budget'])
      expect(lines(one, `${name}.csv`)).toEqual([
        lines(all, `${name}.csv`)[0],
        ...lines(all, `${name}.csv`).filter(
          (line, i) => i > 0 && (line.startsWith('B,') || /^run([7-9]|1\d),/.test(line)),
        ),
      ])
    const pairs = lines(one, 'comparisons.csv').slice(1)
    expect(pairs).toHaveLength(3)
    for (const pair of pairs) expect(lines(all, 'comparisons.csv')).toContain(pair)
  })

  test('takes further files along, and refuses names that lead out of it or stand twice', () => {
    const { record } = new RecordBuilder()
    const further = (path: string) => ({
      path,
      bytes: new Uint8Array([1]),
      title: 'a plot',
      mediatype: 'image/svg+xml',
    })
    const files = resultsBundle(record, { ...options, further: [further('plots/speed.svg')] })
    expect(files.at(-1)!.path).toBe('plots/speed.svg')
    expect(strFromU8(files[0]!.bytes)).toContain('"path": "plots/speed.svg"')
    for (const path of ['../x', '/x', 'a/../b', 'c:\\x', 'lanes.csv', 'results.json', ''])
      expect(() => resultsBundle(record, { ...options, further: [further(path)] }), path).toThrow(/cannot be called/)
  })
})
