/** A number as every XML reader takes it: decimal point, at most nine figures. Throws for what is no number. */
export function digits(value: number, figures = 9): string {
  if (!Number.isFinite(value)) throw new RangeError(`${value} cannot be written into a file.`)
  return String(Number(value.toPrecision(figures)))
}

/** Several numbers, parted by blanks. Rounding noise below 1e-12 is written as 0. */
export function vector(...values: readonly number[]): string {
  return values.map((value) => digits(Math.abs(value) < 1e-12 ? 0 : value)).join(' ')
}

/** Text that may stand between double quotes of an attribute, or as the text of an element. */
export function attribute(text: string): string {
  return text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;').replace(/"/g, '&quot;')
}

/** A comment of several lines. XML forbids two hyphens in a row within it, and one at its end. */
export function comment(lines: readonly string[], indent = ''): string {
  const inside = lines.map((line) => line.replace(/--+/g, (run) => '‐'.repeat(run.length)).replace(/-$/, '‐'))
  return `${indent}<!--\n${inside.map((line) => `${indent}  ${line}`).join('\n')}\n${indent}-->`
}
