import { csvFormatRow } from 'd3-dsv'
import { strToU8 } from 'fflate'
import type { Cell, Table } from './table.ts'

/** What a spreadsheet takes for a formula: these signs at the start of a cell, also in full width or after blanks; and control characters. */
const likeFormula = /^'*(?:\s*[=+\-@＝＋－＠]|[\t\r\n])/

/** Text that no spreadsheet runs as a formula: where it would begin like one, an apostrophe stands before it. */
export const safeText = (text: string): string => (likeFormula.test(text) ? `'${text}` : text)

/** The text that was made safe, as it was. */
export const plainText = (text: string): string =>
  text.startsWith("'") && likeFormula.test(text) ? text.slice(1) : text

/** A number in as many digits as give back exactly itself (ECMA-262, Number::toString), decimal point always; INF as in XML Schema. */
export function numberText(value: number): string {
  if (value === Infinity) return 'INF'
  if (value === -Infinity) return '-INF'
  if (Number.isNaN(value)) return ''
  return Object.is(value, -0) ? '-0' : String(value)
}

function cellText(cell: Cell): string {
  switch (typeof cell) {
    case 'string':
      return safeText(cell)
    case 'number':
      return numberText(cell)
    case 'boolean':
      return cell ? 'true' : 'false'
    default:
      return ''
  }
}

/** Rows put together before they become bytes: few calls, no string of hundreds of megabytes. */
const rowsAtOnce = 5000

/** A table as CSV: RFC 4180, lines end in CR LF, UTF-8 without a byte order mark, decimal point, first line the columns' names. */
export function csvBytes(table: Table): Uint8Array {
  const pieces: Uint8Array[] = []
  let lines: string[] = [csvFormatRow(table.fields.map(({ name }) => name))]
  const put = () => {
    if (lines.length > 0) pieces.push(strToU8(lines.join('\r\n') + '\r\n'))
    lines = []
  }
  for (const row of table.rows()) {
    lines.push(csvFormatRow(row.map(cellText)))
    if (lines.length >= rowsAtOnce) put()
  }
  put()
  return joined(pieces)
}

function joined(pieces: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(pieces.reduce((sum, piece) => sum + piece.length, 0))
  let at = 0
  for (const piece of pieces) {
    whole.set(piece, at)
    at += piece.length
  }
  return whole
}
