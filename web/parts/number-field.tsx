import { Field, type FieldFrame } from './field.tsx'
import { useTypedNumber, type TypedNumber } from './typed-number.ts'

export interface NumberFieldProps extends Omit<FieldFrame, 'fault'>, TypedNumber {
  readonly readOnly?: boolean
  readonly autoFocus?: boolean
}

/** A number with its unit. Point or comma, fractions and other units of the same kind are understood; kept on Enter or when left. */
export function NumberField({
  label,
  labelHidden,
  hint,
  readOnly = false,
  autoFocus = false,
  ...number
}: NumberFieldProps) {
  const { input, fault } = useTypedNumber(number)
  return (
    <Field label={label} labelHidden={labelHidden ?? false} hint={hint} fault={fault}>
      {(ids) => (
        <span className="number-entry">
          <input {...ids} {...input} readOnly={readOnly} autoFocus={autoFocus} />
          {number.unit.label && <span className="unit">{number.unit.label}</span>}
        </span>
      )}
    </Field>
  )
}
