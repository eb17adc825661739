import { useState } from 'react'
import { Field, type FieldFrame } from './field.tsx'

export interface TextFieldProps extends FieldFrame {
  readonly value: string
  /** Called when the field is left or Enter is pressed, with the text trimmed. */
  readonly onChange: (value: string) => void
  readonly maxLength?: number
  readonly readOnly?: boolean
  /** Offered while typing; any other text is free. */
  readonly suggestions?: readonly string[]
}

/** One line of text: one change when it is left; Esc brings the old text back. */
export function TextField({
  value,
  onChange,
  maxLength = 200,
  readOnly = false,
  suggestions,
  ...frame
}: TextFieldProps) {
  const [typed, setTyped] = useState<string | null>(null)
  const keep = () => {
    const next = typed?.trim()
    setTyped(null)
    if (next !== undefined && next !== value) onChange(next)
  }
  return (
    <Field {...frame}>
      {(ids) => (
        <>
          <input
            {...ids}
            type="text"
            autoComplete="off"
            maxLength={maxLength}
            readOnly={readOnly}
            value={typed ?? value}
            list={suggestions ? `${ids.id}-list` : undefined}
            onChange={(event) => setTyped(event.target.value)}
            onBlur={keep}
            onKeyDown={(event) => {
              if (event.key === 'Enter') keep()
              if (event.key === 'Escape' && typed !== null) {
                event.stopPropagation()
                setTyped(null)
              }
            }}
          />
          {suggestions && (
            <datalist id={`${ids.id}-list`}>
              {suggestions.map((text) => (
                <option key={text} value={text} />
              ))}
            </datalist>
          )}
        </>
      )}
    </Field>
  )
}
