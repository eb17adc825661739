import { dsvFormat } from 'd3-dsv'
import { decodeText, type Encoding } from './decode-text.ts'
import { looksNumeric, type Decimal } from './read-number.ts'

/** Bounds of what is read. A run holds 20 000 marks at most, a record 5 000 runs; nobody types a million rows. */
export const mostBytes = 64 * 1024 * 1024
export const mostRows = 1_000_000
export const mostColumns = 200

export interface SheetRow {
  /** Line of the file where the row begins, from 1. */
  readonly line: number
  readonly cells: readonly string[]
}

export interface Sheet {
  readonly kind: 'sheet'
  readonly encoding: Encoding
  readonly delimiter: Delimiter
  readonly decimal: Decimal
  /** The columns' names; null where the file has none. */
  readonly header: readonly string[] | null
  /** From a row of units below the header; null where there is none. */
  readonly units: readonly string[] | null
  readonly columns: number
  /** Rows that are neither blank nor comments, header nor units. */
  readonly rows: readonly SheetRow[]
}

export type Delimiter = '\t' | ';' | '|' | ','

export type SheetProblem =
  | { readonly kind: 'too-large'; readonly bytes: number; readonly most: number }
  | { readonly kind: 'too-many-rows'; readonly rows: number; readonly most: number }
  | { readonly kind: 'too-many-columns'; readonly columns: number; readonly line: number; readonly most: number }
  | { readonly kind: 'no-text' }
  | { readonly kind: 'nothing-in-it' }
  | { readonly kind: 'one-column' }
  | { readonly kind: 'open-quote'; readonly line: number }
  | { readonly kind: 'after-quote'; readonly line: number }

/** Reads a table of unknown make: delimiter, decimal sign, header and units are found in it. Sizes are checked before anything is allocated. */
export function readSheet(bytes: Uint8Array): Sheet | SheetProblem {
  if (bytes.length > mostBytes) return { kind: 'too-large', bytes: bytes.length, most: mostBytes }
  const { text: whole, encoding } = decodeText(bytes)
  if (whole.includes('\0')) return { kind: 'no-text' }
  const hint = /^sep=([\t;|,])\r?\n/i.exec(whole)
  const text = hint ? whole.slice(hint[0].length) : whole
  const firstLine = hint ? 2 : 1
  if (text.trim() === '') return { kind: 'nothing-in-it' }
  const delimiter = (hint?.[1] as Delimiter | undefined) ?? delimiterOf(text)
  if (delimiter === undefined) return { kind: 'one-column' }
  const size = measure(text, delimiter, firstLine)
  if (size.kind !== 'fits') return size
  return sheetOf(rowsOf(text, delimiter, firstLine), delimiter, encoding)
}

const sampledLines = 100

/** The first of the usual delimiters that parts most lines alike; a comma comes last, since it also writes decimals. */
function delimiterOf(text: string): Delimiter | undefined {
  const lines: string[] = []
  for (let at = 0; at < text.length && lines.length < sampledLines;) {
    const end = text.indexOf('\n', at)
    const line = text.slice(at, end < 0 ? text.length : Math.min(end, at + 20_000)).trimEnd()
    if (line.trim() !== '' && !isComment(line)) lines.push(line)
    at = end < 0 ? text.length : end + 1
  }
  let best: Delimiter | undefined
  let most = 0
  for (const delimiter of ['\t', ';', '|', ','] as const) {
    const counts = new Map<number, number>()
    for (const line of lines) {
      const n = line.replace(/"[^"]*"/g, '').split(delimiter).length - 1
      if (n > 0) counts.set(n, (counts.get(n) ?? 0) + 1)
    }
    const alike = Math.max(0, ...counts.values())
    if (alike >= 0.8 * lines.length) return delimiter
    if (alike > most) [best, most] = [delimiter, alike]
  }
  return best
}

const isComment = (line: string): boolean => /^\s*"?(#|\/\/|%)/.test(line)

/** Goes through the text once, keeping nothing: how much there is, and whether its quotation marks hold. */
function measure(text: string, delimiter: string, firstLine: number): { readonly kind: 'fits' } | SheetProblem {
  let [rows, columns, line, rowLine] = [1, 1, firstLine, firstLine]
  for (let i = 0, start = true; i < text.length; i++) {
    const c = text[i]!
    if (start && c === '"') {
      const opened = line
      for (;;) {
        const close = text.indexOf('"', i + 1)
        if (close < 0) return { kind: 'open-quote', line: opened }
        for (let k = i + 1; k < close; k++) if (text[k] === '\n') line++
        i = close
        if (text[i + 1] !== '"') break
        i++
      }
      const after = text[i + 1]
      if (after !== undefined && after !== delimiter && after !== '\n' && after !== '\r')
        return { kind: 'after-quote', line }
      start = false
    } else if (c === delimiter) {
      columns++
      if (columns > mostColumns) return { kind: 'too-many-columns', columns, line: rowLine, most: mostColumns }
      start = true
    } else if (c === '\n' || (c === '\r' && text[i + 1] !== '\n')) {
      line++
      rows++
      ;[columns, rowLine, start] = [1, line, true]
    } else start = false
  }
  return rows > mostRows ? { kind: 'too-many-rows', rows, most: mostRows } : { kind: 'fits' }
}

function rowsOf(text: string, delimiter: Delimiter, firstLine: number): SheetRow[] {
  const rows: SheetRow[] = []
  let line = firstLine
  for (const cells of dsvFormat(delimiter).parseRows(text)) {
    rows.push({ line, cells })
    line += 1 + cells.reduce((sum, cell) => sum + (cell.includes('\n') ? cell.split('\n').length - 1 : 0), 0)
  }
  return rows
}

const isUnit = (cell: string): boolean =>
  /^[[(]?\s*(s|sec|seconds?|ms|µs|us|mm|cm|m|px|pixels?|frames?|ticks?|1|-)?\s*[\])]?$/i.test(cell.trim())

function sheetOf(all: readonly SheetRow[], delimiter: Delimiter, encoding: Encoding): Sheet | SheetProblem {
  const filled = all.filter(({ cells }) => cells.some((cell) => cell.trim() !== ''))
  const comments = filled.filter(({ cells }) => isComment(cells[0]!))
  const rows = filled.filter(({ cells }) => !isComment(cells[0]!))
  if (rows.length === 0) return { kind: 'nothing-in-it' }
  const isWords = ({ cells }: SheetRow) => !cells.some(looksNumeric)
  let header = rows.length > 0 && isWords(rows[0]!) ? rows.shift()!.cells : null
  const units =
    header && rows.length > 0 && isWords(rows[0]!) && rows[0]!.cells.every(isUnit) ? rows.shift()!.cells : null
  const columns = Math.max(header?.length ?? 0, ...widest(rows))
  // Some programs write the names of the columns as the last comment before the numbers.
  const above = header ? undefined : comments.findLast(({ line }) => line < (rows[0]?.line ?? 0))
  if (above && above.cells.length === columns && isWords(above))
    header = above.cells.map((cell, i) => (i === 0 ? cell.replace(/^\s*(#|\/\/|%)+/, '') : cell))
  if (columns < 2) return { kind: 'one-column' }
  return {
    kind: 'sheet',
    encoding,
    delimiter,
    decimal: decimalOf(rows),
    header: header?.map((cell) => cell.trim()) ?? null,
    units: units?.map((cell) => cell.replace(/[[\]()]/g, '').trim()) ?? null,
    columns,
    rows,
  }
}

function* widest(rows: readonly SheetRow[]): Iterable<number> {
  let most = 0
  for (const { cells } of rows) most = Math.max(most, cells.length)
  yield most
}

/** The decimal sign that most numbers are written with. */
function decimalOf(rows: readonly SheetRow[]): Decimal {
  let [points, commas] = [0, 0]
  for (const { cells } of rows.slice(0, 1000))
    for (const cell of cells) {
      if (/^\s*[+\-−]?\d*\.\d+(e[+-]?\d+)?\s*$/i.test(cell)) points++
      if (/^\s*[+\-−]?\d*,\d+(e[+-]?\d+)?\s*$/i.test(cell)) commas++
    }
  return commas > points ? ',' : '.'
}
