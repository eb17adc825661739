import { assertNever } from '../../workers/record/index.ts'
import type { ParsedQuantity } from '../format/parse.ts'
import type { DisplayUnit } from '../format/units.ts'
import { showForEntry, showPlain } from '../format/value.ts'

/** Why a typed number was not taken. An empty field has no fault. */
export function numberFault(
  parsed: Exclude<ParsedQuantity, { kind: 'quantity' }>,
  unit: DisplayUnit,
): string | undefined {
  switch (parsed.kind) {
    case 'empty':
      return undefined
    case 'no-number':
      return `“${parsed.text}” is no number. Type one such as ${showForEntry(12.5)}${unit.label ? ` (in ${unit.name})` : ''}.`
    case 'two-readings':
      return `“${parsed.text}” can be read as ${showForEntry(parsed.readings[0])} or as ${showForEntry(parsed.readings[1])}. Type it without the sign that is in doubt.`
    case 'foreign-unit':
      return `“${parsed.unit}” is no unit for this field. Type the number in ${unit.name || 'plain figures'}.`
    default:
      return assertNever(parsed)
  }
}

export const negativeFault = (value: number, unit: DisplayUnit): string =>
  `± ${showPlain(value / unit.si)} ${unit.label} is less than zero. Type how far the value may be off, zero or more.`
