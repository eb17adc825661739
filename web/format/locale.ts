/** How this person writes numbers. Digits are always 0–9, as in every file and on every scale. */
export interface NumberManner {
  /** `.` or `,` */
  readonly decimal: '.' | ','
}

export function mannerOf(locale: string | undefined): NumberManner {
  const part = new Intl.NumberFormat(locale, { numberingSystem: 'latn' })
    .formatToParts(1.5)
    .find((p) => p.type === 'decimal')
  return { decimal: part?.value === ',' ? ',' : '.' }
}

/** The manner of the browser's own language. */
export const ownManner: NumberManner = mannerOf(undefined)
