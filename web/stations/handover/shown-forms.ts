import type { FormField, FormValidity, FrictionForm } from '../../../workers/handover/index.ts'
import { showValue } from '../../format/value.ts'

export type Validity = FormValidity['kind']

/** What each kind of validity is called, and what it means for whoever takes the numbers. */
export const validities: readonly { readonly kind: Validity; readonly word: string; readonly means: string }[] = [
  { kind: 'valid', word: 'valid', means: 'reproduces the measured motion' },
  { kind: 'limited', word: 'limited', means: 'reproduces it under the conditions named' },
  { kind: 'refused', word: 'refused', means: 'would falsify the motion or cannot be given' },
]

/** Forms by validity. The drag at the centre leads where it is valid: it holds in every engine. */
export function groupedForms(forms: readonly FrictionForm[]): readonly {
  readonly kind: Validity
  readonly word: string
  readonly means: string
  readonly forms: readonly FrictionForm[]
}[] {
  return validities.flatMap((validity) => {
    const own = forms.filter((form) => form.validity.kind === validity.kind)
    const safe = own.filter(({ id }) => id === 'centre-drag')
    const ordered = [...safe, ...own.filter(({ id }) => id !== 'centre-drag')]
    return ordered.length > 0 ? [{ ...validity, forms: ordered }] : []
  })
}

const powers: Readonly<Record<string, string>> = { '2': '²', '3': '³' }

/** A unit as people write it: `kg.m2` → `kg·m²`; nothing for pure numbers. */
export const unitText = (unit: string): string =>
  unit === '1' ? '' : unit.replaceAll('.', '·').replace(/(?<=\p{L})[23]/gu, (digit) => powers[digit] ?? digit)

/** A field as one line: “0.00183 ± 0.00016 N”. A number without ± follows from the choice of the form. */
export const fieldText = ({ value, U, unit }: FormField): string => showValue(value, U, unitText(unit)).text

/** “6 valid, 5 limited, 4 refused”. */
export const countsText = (forms: readonly FrictionForm[]): string =>
  groupedForms(forms)
    .map(({ word, forms: own }) => `${own.length} ${word}`)
    .join(', ')
