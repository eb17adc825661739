import { ownManner, type NumberManner } from './locale.ts'
import { atPlace, placeOf } from './round.ts'

/** A number for showing. `value` and `U` are rounded alike; `U` is null where nothing is stated about it. */
export interface Shown {
  readonly value: string
  readonly U: string | null
  readonly unit: string
  /** One line: `0.0112 ± 0.0021`, with the unit where there is one. */
  readonly text: string
}

/** Powers of ten from here on [decimal places]: nobody counts seven zeros. */
const mostPlaces = 7
/** Below this a number is nothing: what is smaller loses digits in the machine itself. */
const nothing = 1e-300
/** A relative uncertainty finer than this is not written out digit by digit. */
const sharpest = 1e-11

/**
 * Value and expanded uncertainty, both in the unit that is shown: U to two significant digits, the value to the same place
 * (JCGM 100:2008, 7.2.6). U of 0: taken as exact, six digits at most. What is no number is said in words, never as NaN.
 */
export function showValue(value: number, U: number | null, unit = '', manner: NumberManner = ownManner): Shown {
  if (!Number.isFinite(value)) return { value: 'unknown', U: null, unit: '', text: 'unknown' }
  if (U === null) return shown(showPlain(value, 4, manner), null, unit)
  if (!Number.isFinite(U)) return shown(showPlain(value, 2, manner), 'unknown', unit)
  if (Math.abs(U) < nothing) return shown(showPlain(value, 6, manner), null, unit)
  const place = placeOf(Math.abs(U), 2)
  if (Math.abs(U) < sharpest * Math.abs(value))
    return shown(showPlain(value, 12, manner), showPlain(Math.abs(U), 2, manner), unit)
  const far = Math.max(-place, placeOf(value, 1), placeOf(U, 1))
  if (far > mostPlaces) return byPowers(value, Math.abs(U), unit, manner)
  return shown(sign(atPlace(value, place), manner), sign(atPlace(Math.abs(U), place), manner), unit)
}

/** A number without stated uncertainty (a setting, a count of bytes): at most so many significant digits, no trailing zeros. */
export function showPlain(value: number, significant = 4, manner: NumberManner = ownManner): string {
  if (!Number.isFinite(value)) return 'unknown'
  const place = placeOf(value, significant)
  if (Math.abs(value) >= 1e9 || (Math.abs(value) >= nothing && Math.abs(value) < 1e-6)) {
    const [digits = '0', power = '0'] = value.toExponential(significant - 1).split('e')
    return `${sign(trimmed(digits), manner)} × 10${raised(Number(power))}`
  }
  return sign(trimmed(atPlace(value, Math.min(place, 0))), manner)
}

/** A number as text for an entry field: all its digits, the decimal sign of this person, no powers of ten. */
export function showForEntry(value: number, manner: NumberManner = ownManner): string {
  if (!Number.isFinite(value)) return ''
  // Twelve digits hold what anyone types and hide the rounding of a change of unit (0.1 + 0.2).
  const text = trimmed(atPlace(value, Math.min(0, placeOf(value, 12))))
  return text.replace('.', manner.decimal)
}

const shown = (value: string, U: string | null, unit: string): Shown => ({
  value,
  U,
  unit,
  text: `${value}${U === null ? '' : ` ± ${U}`}${unit === '' ? '' : ` ${unit}`}`,
})

function byPowers(value: number, U: number, unit: string, manner: NumberManner): Shown {
  const power = placeOf(Math.max(Math.abs(value), U), 1)
  const place = placeOf(U / 10 ** power, 2)
  const digits = (x: number) => sign(atPlace(x / 10 ** power, place), manner)
  const times = ` × 10${raised(power)}`
  const text = `(${digits(value)} ± ${digits(U)})${times}${unit === '' ? '' : ` ${unit}`}`
  return { value: digits(value) + times, U: digits(U) + times, unit, text }
}

const trimmed = (text: string): string => (text.includes('.') ? text.replace(/\.?0+$/, '') : text)
/** The true minus, as wide as a figure, and this person's decimal sign. */
const sign = (text: string, manner: NumberManner): string => text.replace('-', '−').replace('.', manner.decimal)
const figures = '⁰¹²³⁴⁵⁶⁷⁸⁹'
const raised = (power: number): string =>
  (power < 0 ? '⁻' : '') + [...String(Math.abs(power))].map((d) => figures[Number(d)] ?? d).join('')
