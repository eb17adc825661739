import { Field, type FieldFrame } from './field.tsx'

export interface Choice<T extends string> {
  readonly value: T
  readonly label: string
  readonly disabled?: boolean
}

export interface SelectFieldProps<T extends string> extends FieldFrame {
  /** null: nothing chosen yet; then `prompt` stands in the field. */
  readonly value: T | null
  readonly choices: readonly Choice<T>[]
  readonly onChange: (value: T) => void
  readonly prompt?: string
  readonly disabled?: boolean
}

/** One of a few, with the browser's own list: it suits every finger, key and screen reader. */
export function SelectField<T extends string>(props: SelectFieldProps<T>) {
  const { value, choices, onChange, prompt, disabled = false, ...frame } = props
  return (
    <Field {...frame}>
      {(ids) => (
        <select
          {...ids}
          value={value ?? ''}
          disabled={disabled}
          onChange={(event) => {
            const chosen = choices.find((choice) => choice.value === event.target.value)
            if (chosen) onChange(chosen.value)
          }}
        >
          {value === null && (
            <option value="" disabled>
              {prompt ?? 'Choose …'}
            </option>
          )}
          {choices.map((choice) => (
            <option key={choice.value} value={choice.value} disabled={choice.disabled}>
              {choice.label}
            </option>
          ))}
        </select>
      )}
    </Field>
  )
}
