import { readFileSync } from 'node:fs'

/** A certified parameter of a NIST StRD set; `starts` is empty for linear sets. */
export interface CertifiedParameter {
  readonly name: string
  readonly value: number
  readonly standardDeviation: number
  readonly starts: readonly number[]
}

/** One NIST StRD regression set as read from its file. */
export interface NistSet {
  readonly name: string
  readonly parameters: readonly CertifiedParameter[]
  readonly residualStandardDeviation: number
  readonly residualSumOfSquares: number
  readonly dof: number
  readonly y: Float64Array
  /** Predictor columns, in the order of the file. */
  readonly x: readonly Float64Array[]
}

const folder = new URL('../data/nist/', import.meta.url)

/** Every linear set. */
export const linearSets = [
  'Norris',
  'Pontius',
  'NoInt1',
  'NoInt2',
  'Filip',
  'Longley',
  'Wampler1',
  'Wampler2',
  'Wampler3',
  'Wampler4',
  'Wampler5',
] as const

/** Reads a set by its name, for example `Norris`. Throws when the file does not have the layout its head announces. */
export function readNistSet(name: string): NistSet {
  return parseNistSet(name, readFileSync(new URL(`${name}.dat`, folder), 'latin1'))
}

/** Reads the text of a NIST StRD regression file. */
export function parseNistSet(name: string, text: string): NistSet {
  const lines = text.split(/\r?\n/)
  const section = (title: string): string[] => {
    const range = new RegExp(`${title}\\s*\\(lines\\s+(\\d+)\\s+to\\s+(\\d+)\\)`).exec(text)
    if (range === null) throw new Error(`${name}: the head names no section "${title}".`)
    return lines.slice(Number(range[1]) - 1, Number(range[2]))
  }
  const rows = section('Data')
    .map((line) => numbersOf(line))
    .filter((row) => row.length > 0)
  const width = rows[0]?.length ?? 0
  if (width < 2 || rows.some((row) => row.length !== width)) throw new Error(`${name}: ragged data.`)
  const columns = Array.from({ length: width }, (_, j) => Float64Array.from(rows, (row) => row[j]!))

  const certified = section('Certified Values')
  const parameters: CertifiedParameter[] = []
  for (const line of certified) {
    const match = /^\s*([Bb]\d+)\s*(=?)\s+(.*)$/.exec(line)
    if (match === null) continue
    const values = numbersOf(match[3]!)
    const isNonlinear = match[2] === '='
    const starts = isNonlinear ? values.slice(0, -2) : []
    const [value, standardDeviation] = values.slice(-2)
    parameters.push({ name: match[1]!, value: value!, standardDeviation: standardDeviation!, starts })
  }
  if (parameters.length === 0) throw new Error(`${name}: no certified parameters.`)

  const dof = rows.length - parameters.length
  const stated = /Residual\s+Standard Deviation:?\s+([-+.\dEe]+)/.exec(text)
  if (stated === null) throw new Error(`${name}: no residual standard deviation.`)
  const residualStandardDeviation = Number(stated[1])
  const sum = /Residual Sum of Squares:\s+([-+.\dEe]+)/.exec(text)
  const anova = /^Residual\s+\d+\s+([-+.\dEe]+)/m.exec(text)
  const residualSumOfSquares = Number((sum ?? anova)?.[1])
  if (!Number.isFinite(residualSumOfSquares)) throw new Error(`${name}: no residual sum of squares.`)
  return { name, parameters, residualStandardDeviation, residualSumOfSquares, dof, y: columns[0]!, x: columns.slice(1) }
}

/** Decimal digits on which a computed value agrees with a certified one (NIST's "log relative error"), at most 15.
 *  Against a certified 0 it is the log of the absolute error. */
export function digitsOfAgreement(computed: number, certified: number): number {
  const error = Math.abs(computed - certified) / (certified === 0 ? 1 : Math.abs(certified))
  return error === 0 ? 15 : Math.min(15, -Math.log10(error))
}

function numbersOf(line: string): number[] {
  return line
    .trim()
    .split(/\s+/)
    .filter((word) => /^[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?$/.test(word))
    .map(Number)
}
