import { doubtCodes, mostMarksPerRun, Origin } from '../../record/index.ts'
import { plainText } from '../tables/csv.ts'
import type { ColumnChoice } from './columns.ts'
import { readNumber, type ReadNumber } from './read-number.ts'
import type { Sheet, SheetRow } from './sheet.ts'

/** One run as it stands in the file, in the order of its times. Columns of equal length. */
export interface ImportedRun {
  /** From the column of runs; null where there is none. */
  readonly name: string | null
  /** Line of the file that each mark is from. */
  readonly line: readonly number[]
  /** Frame numbers, or seconds. */
  readonly when: readonly number[]
  /** x [px] or position along the lane [m]. */
  readonly place: readonly number[]
  /** y [px]; null along a lane. */
  readonly y: readonly number[] | null
  /** [px] or [m]; null where the file says nothing. */
  readonly sigma: readonly (number | null)[]
  readonly ticks: readonly number[] | null
  readonly origin: readonly (Origin | null)[]
  readonly doubt: readonly number[]
}

export type RejectedWhy =
  | Exclude<ReadNumber, { kind: 'number' }>
  | { readonly kind: 'no-cell'; readonly have: number }
  | { readonly kind: 'no-frame'; readonly value: number }
  | { readonly kind: 'beyond-reason'; readonly value: number }
  | { readonly kind: 'sigma-not-positive'; readonly value: number }
  | { readonly kind: 'no-origin'; readonly text: string }
  | { readonly kind: 'no-doubt'; readonly text: string }
  | { readonly kind: 'same-time'; readonly line: number }
  | { readonly kind: 'run-full'; readonly most: number }
  | { readonly kind: 'not-in-clip'; readonly frame: number; readonly frames: number }
  | { readonly kind: 'between-frames'; readonly time_s: number; readonly frame: number }

/** A row that was left out: its line in the file, the column (from 0; null: the row as a whole), and why. */
export interface RejectedRow {
  readonly line: number
  readonly column: number | null
  readonly why: RejectedWhy
}

export interface ImportedRuns {
  readonly kind: 'imported'
  /** Whether places are in the picture, and times frames; as chosen. */
  readonly where: 'picture' | 'along'
  readonly when: 'frame' | 'time'
  readonly runs: readonly ImportedRun[]
  /** In the order of the file. */
  readonly rejected: readonly RejectedRow[]
}

export type ImportProblem =
  | { readonly kind: 'column-missing'; readonly column: number; readonly columns: number }
  | { readonly kind: 'column-twice'; readonly column: number }
  | { readonly kind: 'too-many-runs'; readonly runs: number; readonly most: number }
  | { readonly kind: 'no-usable-row'; readonly rejected: readonly RejectedRow[] }

export const mostRuns = 5000
/** Nothing on a lane is farther or later than this: in metres, pixels, seconds, frames. */
const beyond = { along: 1000, picture: 1e6, time: 1e7, frame: 1e9 } as const
const metresPer = { m: 1, cm: 0.01, mm: 0.001 } as const
const secondsPer = { s: 1, ms: 0.001 } as const

interface Mark {
  readonly line: number
  readonly when: number
  readonly place: number
  readonly y: number
  readonly sigma: number | null
  readonly ticks: number
  readonly origin: Origin | null
  readonly doubt: number
}

/** Rows to runs, by the columns that a person chose. A row that cannot be used is left out and named; the rest is kept. */
export function importedRuns(sheet: Sheet, choice: ColumnChoice): ImportedRuns | ImportProblem {
  const { when, where, sigma, run, ticks, origin, doubt } = choice
  const places = where.kind === 'picture' ? [where.x, where.y] : [where.s]
  const chosen = [when.column, ...places, sigma, run, ticks, origin, doubt].filter((column) => column !== undefined)
  for (const [i, column] of chosen.entries()) {
    if (!Number.isInteger(column) || column < 0 || column >= sheet.columns)
      return { kind: 'column-missing', column, columns: sheet.columns }
    if (chosen.indexOf(column) !== i) return { kind: 'column-twice', column }
  }
  const rejected: RejectedRow[] = []
  const byName = new Map<string, Mark[]>()
  for (const row of sheet.rows) {
    const mark = markOf(row, sheet, choice)
    if ('why' in mark) {
      rejected.push(mark)
      continue
    }
    const name = run === undefined ? '' : plainText((row.cells[run] ?? '').trim())
    const marks = byName.get(name)
    if (marks) marks.push(mark)
    else if (byName.size >= mostRuns) return { kind: 'too-many-runs', runs: byName.size + 1, most: mostRuns }
    else byName.set(name, [mark])
  }
  const runs = [...byName].map(([name, marks]) => runOf(run === undefined ? null : name, marks, choice, rejected))
  rejected.sort((a, b) => a.line - b.line)
  if (runs.length === 0) return { kind: 'no-usable-row', rejected }
  return { kind: 'imported', where: where.kind, when: when.kind, runs, rejected }
}

function markOf(row: SheetRow, sheet: Sheet, choice: ColumnChoice): Mark | RejectedRow {
  const { line, cells } = row
  const no = (column: number | null, why: RejectedWhy): RejectedRow => ({ line, column, why })
  const read = (column: number): number | RejectedRow => {
    const cell = cells[column]
    if (cell === undefined) return no(column, { kind: 'no-cell', have: cells.length })
    const found = readNumber(cell, sheet.decimal)
    return found.kind === 'number' ? found.value : no(column, found)
  }
  const { when, where } = choice
  const at = read(when.column)
  if (typeof at !== 'number') return at
  if (when.kind === 'frame' && !(Number.isInteger(at) && at >= 0))
    return no(when.column, { kind: 'no-frame', value: at })
  if (Math.abs(at) > beyond[when.kind]) return no(when.column, { kind: 'beyond-reason', value: at })
  const per = where.kind === 'along' ? metresPer[where.unit] : 1
  const first = where.kind === 'along' ? where.s : where.x
  const place = read(first)
  if (typeof place !== 'number') return place
  if (Math.abs(place * per) > beyond[where.kind]) return no(first, { kind: 'beyond-reason', value: place })
  const y = where.kind === 'along' ? 0 : read(where.y)
  if (typeof y !== 'number') return y
  if (where.kind === 'picture' && Math.abs(y) > beyond.picture) return no(where.y, { kind: 'beyond-reason', value: y })
  let sigma: number | null = null
  if (choice.sigma !== undefined && (cells[choice.sigma] ?? '').trim() !== '') {
    const stated = read(choice.sigma)
    if (typeof stated !== 'number') return stated
    if (!(stated * per > 0)) return no(choice.sigma, { kind: 'sigma-not-positive', value: stated })
    if (stated * per > beyond[where.kind]) return no(choice.sigma, { kind: 'beyond-reason', value: stated })
    sigma = scaled(stated, per)
  }
  const ticks = choice.ticks === undefined ? 0 : read(choice.ticks)
  if (typeof ticks !== 'number') return ticks
  const originText = choice.origin === undefined ? '' : (cells[choice.origin] ?? '').trim()
  const origin = Origin.options.find((one) => one === originText) ?? null
  if (choice.origin !== undefined && originText !== '' && origin === null)
    return no(choice.origin, { kind: 'no-origin', text: originText })
  const doubtText = choice.doubt === undefined ? '' : (cells[choice.doubt] ?? '').trim()
  const doubt = doubtText === '' ? 0 : doubtOf(doubtText)
  if (doubt === null) return no(choice.doubt!, { kind: 'no-doubt', text: doubtText })
  const time = when.kind === 'time' ? scaled(at, secondsPer[when.unit]) : at
  return { line, when: time, place: scaled(place, per), y, sigma, ticks, origin, doubt }
}

/** In SI; a division by 1000 rounds once where a product with 0.001 rounds twice. */
const scaled = (value: number, per: number): number => (per === 1 ? value : value / Math.round(1 / per))

function doubtOf(text: string): number | null {
  const code = (doubtCodes as readonly string[]).indexOf(text)
  if (code >= 0) return code
  return /^\d{1,6}$/.test(text) ? Number(text) : null
}

/** In the order of time, one mark a time. */
function runOf(name: string | null, all: readonly Mark[], choice: ColumnChoice, rejected: RejectedRow[]): ImportedRun {
  const marks: Mark[] = []
  for (const mark of [...all].sort((a, b) => a.when - b.when || a.line - b.line)) {
    const before = marks.at(-1)
    if (before?.when === mark.when)
      rejected.push({ line: mark.line, column: choice.when.column, why: { kind: 'same-time', line: before.line } })
    else if (marks.length >= mostMarksPerRun)
      rejected.push({ line: mark.line, column: null, why: { kind: 'run-full', most: mostMarksPerRun } })
    else marks.push(mark)
  }
  return {
    name,
    line: marks.map(({ line }) => line),
    when: marks.map(({ when }) => when),
    place: marks.map(({ place }) => place),
    y: choice.where.kind === 'picture' ? marks.map(({ y }) => y) : null,
    sigma: marks.map(({ sigma }) => sigma),
    ticks: choice.ticks === undefined ? null : marks.map(({ ticks }) => ticks),
    origin: marks.map(({ origin }) => origin),
    doubt: marks.map(({ doubt }) => doubt),
  }
}
