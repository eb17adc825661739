import { ownManner, type NumberManner } from './locale.ts'
import { unitFor, type DisplayUnit } from './units.ts'

export type ParsedNumber =
  | { kind: 'number'; value: number }
  | { kind: 'empty' }
  | { kind: 'no-number'; text: string }
  /** `1,200` where the comma may part thousands or decimals. */
  | { kind: 'two-readings'; text: string; readings: readonly [number, number] }

/**
 * A number as people type it: decimal point or comma, blanks or apostrophes between thousands, minus of any kind, a fraction (3/8),
 * powers (1e-3). A lone sign before exactly three digits that is not this person's decimal sign has two readings and is given back.
 */
export function parseNumber(text: string, manner: NumberManner = ownManner): ParsedNumber {
  const plain = text
    .trim()
    .replace(/[−–‒﹣－]/g, '-')
    .replace(/(?<=\d)['’\s](?=\d{3}(?!\d))/g, '')
  if (plain === '') return { kind: 'empty' }
  const fraction = /^([+-]?)(?:(\d+)\s+)?(\d+)\s*[/⁄]\s*(\d+)$/.exec(plain)
  if (fraction) {
    const [, minus, whole = '0', over, under] = fraction
    if (Number(under) === 0) return { kind: 'no-number', text: text.trim() }
    const value = Number(whole) + Number(over) / Number(under)
    return { kind: 'number', value: minus === '-' ? -value : value }
  }
  if (!/^[+-]?(\d[\d.,]*|[.,]\d+)(e[+-]?\d+)?$/i.test(plain)) return { kind: 'no-number', text: text.trim() }
  const [digits = '', power = ''] = plain.toLowerCase().split('e')
  const points = digits.split('.').length - 1
  const commas = digits.split(',').length - 1
  const number = (decimal: string): ParsedNumber => {
    const other = decimal === '.' ? ',' : '.'
    const value = Number(digits.replaceAll(other, '').replace(decimal, '.') + (power === '' ? '' : `e${power}`))
    return Number.isFinite(value) ? { kind: 'number', value } : { kind: 'no-number', text: text.trim() }
  }
  if (points > 0 && commas > 0) {
    const decimal = digits.lastIndexOf('.') > digits.lastIndexOf(',') ? '.' : ','
    const groups = digits.slice(0, digits.lastIndexOf(decimal))
    const grouped = /^[+-]?\d{1,3}([.,]\d{3})+$/.test(groups)
    return grouped ? number(decimal) : { kind: 'no-number', text: text.trim() }
  }
  const only = points > 0 ? '.' : ','
  if (points + commas > 1)
    return /^[+-]?\d{1,3}([.,]\d{3})+$/.test(digits)
      ? number(only === '.' ? ',' : '.')
      : { kind: 'no-number', text: text.trim() }
  if (only !== manner.decimal && /^[+-]?[1-9]\d{0,2}[.,]\d{3}$/.test(digits)) {
    // A point is a decimal point on every rule and in every file; only the comma of a point-writer is in doubt.
    if (only === '.') return number('.')
    const asDecimal = Number(digits.replace(only, '.'))
    return { kind: 'two-readings', text: text.trim(), readings: [asDecimal, asDecimal * 1000] }
  }
  return number(only)
}

export type ParsedQuantity =
  | { kind: 'quantity'; value: number; U: number | null }
  | Exclude<ParsedNumber, { kind: 'number' }>
  | { kind: 'foreign-unit'; unit: string }

/**
 * A quantity for a field whose unit is `of`, in SI: `750`, `75 cm`, `750 ± 0,5`, `3/8 in`. A number without a unit is in the field's own;
 * one unit behind `±` serves both numbers.
 */
export function parseQuantity(text: string, of: DisplayUnit, manner: NumberManner = ownManner): ParsedQuantity {
  const [front = '', behind] = text.split(/±|\+\/?-(?=\s*[\d.,])/).map((part) => part.trim())
  const first = apart(front)
  const second = behind === undefined ? undefined : apart(behind)
  const spelled = second?.unit || first.unit
  const value = read(first.number, first.unit || spelled, of, manner)
  if (value.kind !== 'quantity' || !second) return value
  const U = read(second.number, second.unit || spelled, of, manner)
  return U.kind === 'quantity' ? { ...value, U: Math.abs(U.value) } : U
}

/** The number in front and the unit behind it, each as typed. */
function apart(text: string): { number: string; unit: string } {
  const parts = /^([-−–+\d.,'’\s/⁄]*(?:e[-+]?\d+)?)(.*)$/iu.exec(text)
  const number = parts?.[1]?.trim() ?? ''
  const unit = parts?.[2]?.trim() ?? ''
  return number === '' ? { number: text, unit: '' } : { number, unit }
}

function read(number: string, spelled: string, of: DisplayUnit, manner: NumberManner): ParsedQuantity {
  const parsed = parseNumber(number, manner)
  if (parsed.kind !== 'number') return parsed
  const unit = spelled === '' ? of : unitFor(spelled, of)
  return unit ? { kind: 'quantity', value: parsed.value * unit.si, U: null } : { kind: 'foreign-unit', unit: spelled }
}
