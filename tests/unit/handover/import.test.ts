import { strToU8 } from 'fflate'
import { describe, expect, test } from 'vitest'
import {
  mostBytes,
  mostColumns,
  proposeColumns,
  readSheet,
  rejectedSentence,
  sheetSentence,
} from '../../../workers/handover/index.ts'
import { runsOf, sheetOf } from '../../support/sheets.ts'

const rejections = (text: string): string[] => {
  const sheet = sheetOf(text)
  return runsOf(sheet).rejected.map((row) => rejectedSentence(sheet, row))
}

describe('tables of any make are read alike', () => {
  const expected = [
    [0, 0.5],
    [0.25, 1.5],
    [0.5, 2.5],
  ]
  test.each([
    ['commas and points', 't,s\n0,0.5\n0.25,1.5\n0.5,2.5\n'],
    ['semicolons and decimal commas', 't;s\n0;0,5\n0,25;1,5\n0,5;2,5\n'],
    ['tabs', 't\ts\n0\t0.5\n0.25\t1.5\n0.5\t2.5\n'],
    ['tabs and decimal commas', 't\ts\r\n0\t0,5\r\n0,25\t1,5\r\n0,5\t2,5\r\n'],
    ['bars', 't|s\n0|0.5\n0.25|1.5\n0.5|2.5\n'],
    ['CR LF, a byte order mark, no last line end', '\uFEFFt,s\r\n0,0.5\r\n0.25,1.5\r\n0.5,2.5'],
    ['lone CR', 't,s\r0,0.5\r0.25,1.5\r0.5,2.5\r'],
    ['quoted cells, decimal commas between commas', '"t","s"\n"0","0,5"\n"0,25","1,5"\n"0,5","2,5"\n'],
    ['blank lines and comments', '# made by hand\n\nt,s\n0,0.5\n\n// a break\n0.25,1.5\n ,\n0.5,2.5\n\n'],
    ['a row of units', 't,s\n[s],(m)\n0,0.5\n0.25,1.5\n0.5,2.5\n'],
    ['the names in a comment', '# t,s\n0,0.5\n0.25,1.5\n0.5,2.5\n'],
    ['a hint for spreadsheets', 'sep=;\nt;s\n0;0.5\n0.25;1.5\n0.5;2.5\n'],
    ['powers, blanks, signs', 't, s\n0, +5e-1\n 0.25 ,15E-1\n0.5,2.5e0\n'],
    ['rows out of order', 't,s\n0.5,2.5\n0,0.5\n0.25,1.5\n'],
  ])('%s', (_what, text) => {
    const [run] = runsOf(sheetOf(text)).runs
    expect(run!.when.map((t, i) => [t, run!.place[i]])).toEqual(expected)
  })

  test('UTF-16, as spreadsheets save “Unicode text”', () => {
    const text = '\uFEFFt\ts\n0\t0.5\n0.25\t1.5\n0.5\t2.5\n'
    const bytes = new Uint8Array(Buffer.from(text, 'utf16le'))
    expect(runsOf(sheetOf(bytes)).runs[0]!.place).toEqual([0.5, 1.5, 2.5])
    expect(runsOf(sheetOf(new Uint8Array(Buffer.from(text, 'utf16le').swap16()))).runs[0]!.place).toEqual([
      0.5, 1.5, 2.5,
    ])
  })

  test('names in the old Western encoding', () => {
    const sheet = sheetOf(new Uint8Array(Buffer.from('t;s;Läufe\n0;1;é\n1;2;é\n', 'latin1')))
    expect([sheet.encoding, sheet.header]).toEqual(['windows-1252', ['t', 's', 'Läufe']])
  })

  test('without a header the columns are there to be chosen', () => {
    const sheet = sheetOf('0,0.5\n1,1.5\n')
    expect([sheet.header, sheet.rows.length, proposeColumns(sheet).when]).toEqual([null, 2, null])
    const { runs } = runsOf(sheet, {
      when: { kind: 'time', column: 0, unit: 'ms' },
      where: { kind: 'along', s: 1, unit: 'mm' },
    })
    expect(runs[0]).toMatchObject({ when: [0, 0.001], place: [0.0005, 0.0015] })
  })

  test('a cell with line ends does not shift the numbers of lines', () => {
    const { rows } = sheetOf('t,s,note\n0,1,"a\nb\nc"\n1,2,\n')
    expect(rows.map(({ line }) => line)).toEqual([2, 5])
  })
})

describe('columns are proposed by their names', () => {
  test.each([
    ['frame,x,y', { when: { kind: 'frame', column: 0 }, where: { kind: 'picture', x: 1, y: 2 } }],
    [
      'Frame No;x [px];y [px];sigma [px]',
      { when: { kind: 'frame', column: 0 }, where: { kind: 'picture', x: 1, y: 2 }, sigma: 3 },
    ],
    [
      'time [ms],position (mm),run',
      { when: { kind: 'time', column: 0, unit: 'ms' }, where: { kind: 'along', s: 1, unit: 'mm' }, run: 2 },
    ],
    [
      'run_id,mark,frame,t_s,s_m,sigma_m',
      { when: { kind: 'time', column: 3, unit: 's' }, where: { kind: 'along', s: 4, unit: 'm' }, sigma: 5, run: 0 },
    ],
    ['t_s,x_m', { when: { kind: 'time', column: 0, unit: 's' }, where: { kind: 'along', s: 1, unit: 'm' } }],
    ['Zeit;Weg_cm', { when: { kind: 'time', column: 0, unit: 's' }, where: { kind: 'along', s: 1, unit: 'cm' } }],
    ['apples,pears', { when: null, where: null }],
  ])('%s', (head, proposal) => {
    const cells = head.split(/[,;]/).map((_, i) => i)
    const delimiter = head.includes(';') ? ';' : ','
    expect(proposeColumns(sheetOf(`${head}\n${cells.join(delimiter)}\n`))).toMatchObject(proposal)
  })
})

describe('a row that cannot be used is named with its line and why', () => {
  test.each([
    ['t,s\n0,1\n1,abc\n2,3\n', 'Line 3, column s: “abc” is no number.'],
    ['t,s\n0,1\n1,\n2,3\n', 'Line 3, column s: nothing stands there.'],
    ['t,s\n0,1\n1\n2,3\n', 'Line 3, column s: the row has 1 cell only.'],
    ['t,s\n0,1\n0,2\n2,3\n', 'Line 3, column t: the time or frame is that of line 2, which is kept.'],
    [
      't;s\n0;1,5\n1;2.5\n2;3,5\n',
      'Line 3, column s: “2.5” has another decimal sign than the rest of the table, which has a comma.',
    ],
    [
      't;s\n0;1,5\n1;1.250\n2;3,5\n',
      'Line 3, column s: “1.250” may be with decimals or in thousands. Write it without the sign that parts thousands.',
    ],
    [
      'frame,x,y\n0,1,1\n1.5,2,2\n',
      'Line 3, column frame: 1.5 is no number of a frame; frames are counted in whole numbers from 0.',
    ],
    ['t,s,sigma\n0,1,1\n1,2,0\n', 'Line 3, column sigma: an uncertainty of 0 says nothing; it must be above 0.'],
    ['t,s\n0,1\n1,1e9\n', 'Line 3, column s: 1000000000 is beyond anything on a lane. Check the column and its unit.'],
    ['t,s\n0,1\n1,1e999\n', 'Line 3, column s: “1e999” is no number.'],
  ])('%j', (text, sentence) => {
    expect(rejections(text)).toEqual([sentence])
  })

  test('a file that is no table is refused with a sentence', () => {
    const refused = (bytes: Uint8Array) => {
      const sheet = readSheet(bytes)
      return sheet.kind === 'sheet' ? '' : sheetSentence(sheet)
    }
    expect(refused(strToU8(''))).toContain('no rows')
    expect(refused(strToU8('# only words\n'))).toMatch(/no rows|one column/)
    expect(refused(strToU8('1\n2\n3\n'))).toContain('one column')
    expect(refused(strToU8('a,b\n1,"2\n3,4\n'))).toContain('begins in line 2 is never closed')
    expect(refused(strToU8('a,b\n1,"2"3\n'))).toContain('In line 2 something stands behind')
    expect(refused(Uint8Array.of(0x89, 0x50, 0, 0, 44, 10))).toContain('no text')
    expect(refused(new Uint8Array(mostBytes + 1))).toContain('Split it')
    expect(refused(strToU8(`a,b\n${','.repeat(mostColumns)}\n`))).toContain('more than 200 columns')
  })
})
