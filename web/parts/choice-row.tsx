import { useId } from 'react'
import type { Choice } from './select-field.tsx'

/** One of two to five, all in view: radio buttons drawn as a row of words. */
export function ChoiceRow<T extends string>({
  label,
  labelHidden = false,
  value,
  choices,
  onChange,
  disabled = false,
}: {
  readonly label: string
  readonly labelHidden?: boolean
  readonly value: T | null
  readonly choices: readonly Choice<T>[]
  readonly onChange: (value: T) => void
  readonly disabled?: boolean
}) {
  const name = useId()
  return (
    <fieldset className="choice-row" disabled={disabled}>
      <legend className={labelHidden ? 'only-read-aloud' : undefined}>{label}</legend>
      <div>
        {choices.map((choice) => (
          <label key={choice.value}>
            <input
              type="radio"
              name={name}
              value={choice.value}
              checked={choice.value === value}
              disabled={choice.disabled}
              onChange={() => onChange(choice.value)}
            />
            <span>{choice.label}</span>
          </label>
        ))}
      </div>
    </fieldset>
  )
}
