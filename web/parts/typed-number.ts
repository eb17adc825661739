import { useState, type ChangeEvent, type KeyboardEvent } from 'react'
import { parseQuantity } from '../format/parse.ts'
import type { DisplayUnit } from '../format/units.ts'
import { showForEntry } from '../format/value.ts'
import { numberFault } from './sentences.ts'

export interface TypedNumber {
  /** In SI; null: nothing entered. */
  readonly value: number | null
  readonly unit: DisplayUnit
  /** Called with SI when the field is left or Enter is pressed, and only with a number that passed `check`. `U` when `±` was typed with it. */
  readonly onChange: (value: number, U: number | null) => void
  /** Called when the field was emptied; without it an empty field goes back to its number. */
  readonly onClear?: () => void
  /** A sentence when the number cannot be, in SI. */
  readonly check?: (value: number) => string | undefined
}

/** An entry field's text: what is being typed, else the number. What cannot be kept stays in the field with its fault; Esc brings the number back. */
export function useTypedNumber({ value, unit, onChange, onClear, check }: TypedNumber) {
  const [typed, setTyped] = useState<string | null>(null)
  const [fault, setFault] = useState<string>()
  const shown = value === null ? '' : showForEntry(value / unit.si)
  const leave = () => {
    setTyped(null)
    setFault(undefined)
  }
  const keep = () => {
    if (typed === null || typed.trim() === shown) {
      leave()
      return
    }
    const parsed = parseQuantity(typed, unit)
    if (parsed.kind === 'empty') {
      onClear?.()
      leave()
      return
    }
    const wrong = parsed.kind === 'quantity' ? check?.(parsed.value) : numberFault(parsed, unit)
    setFault(wrong)
    if (wrong !== undefined || parsed.kind !== 'quantity') return
    setTyped(null)
    if (parsed.value !== value || parsed.U !== null) onChange(parsed.value, parsed.U)
  }
  return {
    fault,
    input: {
      type: 'text',
      inputMode: 'decimal',
      autoComplete: 'off',
      spellCheck: false,
      value: typed ?? shown,
      onChange: (event: ChangeEvent<HTMLInputElement>) => setTyped(event.target.value),
      onBlur: keep,
      onKeyDown: (event: KeyboardEvent<HTMLInputElement>) => {
        if (event.key === 'Enter') keep()
        if (event.key === 'Escape' && typed !== null) {
          event.stopPropagation()
          leave()
        }
      },
    },
  } as const
}
