export type Decimal = '.' | ','

export type ReadNumber =
  | { readonly kind: 'number'; readonly value: number }
  | { readonly kind: 'empty' }
  | { readonly kind: 'no-number'; readonly text: string }
  /** `1,200` where the comma may part thousands or decimals. */
  | { readonly kind: 'two-readings'; readonly text: string }
  /** `1.5` in a file of decimal commas, or the other way round. */
  | { readonly kind: 'other-decimal'; readonly text: string; readonly decimal: Decimal }

/** How instruments and spreadsheets write that there is nothing. */
const nothing = new Set(['', '-', '–', '—', '?', 'na', 'n/a', '#n/a', 'nan', 'null', 'none'])

/** A number as files write it, with the file's decimal sign; blanks or apostrophes may part thousands, any minus will do. */
export function readNumber(cell: string, decimal: Decimal): ReadNumber {
  const text = cell.trim()
  if (nothing.has(text.toLowerCase())) return { kind: 'empty' }
  const plain = text.replace(/^[−–﹣－]/, '-').replace(/(?<=\d)['’\s](?=\d{3}(?!\d))/g, '')
  const [own, other] = decimal === '.' ? ['\\.', ','] : [',', '\\.']
  const power = '(e[+-]?\\d+)?'
  if (new RegExp(`^[+-]?(\\d+(${own}\\d*)?|${own}\\d+)${power}$`, 'i').test(plain)) {
    const value = Number(plain.replace(decimal, '.'))
    return Number.isFinite(value) ? { kind: 'number', value } : { kind: 'no-number', text }
  }
  const groups = new RegExp(`^[+-]?\\d{1,3}((?:${other}\\d{3})+)(${own}\\d+)?${power}$`, 'i').exec(plain)
  if (groups) {
    const several = groups[1]!.length > 4 || groups[2] !== undefined
    if (!several) return { kind: 'two-readings', text }
    const sign = decimal === '.' ? ',' : '.'
    return { kind: 'number', value: Number(plain.replaceAll(sign, '').replace(decimal, '.')) }
  }
  if (new RegExp(`^[+-]?(\\d+${other}\\d*|${other}\\d+)${power}$`, 'i').test(plain))
    return { kind: 'other-decimal', text, decimal }
  return { kind: 'no-number', text }
}

/** Whether a cell holds a number in either manner. */
export const looksNumeric = (cell: string): boolean =>
  cell.trim() !== '' &&
  /\d/.test(cell) &&
  (['.', ','] as const).some((decimal) => readNumber(cell, decimal).kind === 'number')
