import { useId, type ReactNode } from 'react'

/** Ids that tie a control to its label, its hint and its fault. */
export interface FieldIds {
  readonly id: string
  readonly 'aria-describedby': string | undefined
  readonly 'aria-invalid': true | undefined
}

export interface FieldFrame {
  readonly label: string
  /** The label is read aloud only: in a table whose head says it. */
  readonly labelHidden?: boolean
  readonly hint?: ReactNode
  /** A whole sentence: what is wrong, with which value, what to do. */
  readonly fault?: string | undefined
}

/** Label above, control, then hint and fault below; the control is tied to all three. */
export function Field({
  label,
  labelHidden = false,
  hint,
  fault,
  children,
}: FieldFrame & { readonly children: (ids: FieldIds) => ReactNode }) {
  const id = useId()
  const hintId = `${id}-hint`
  const faultId = `${id}-fault`
  const described = [hint ? hintId : '', fault ? faultId : ''].filter(Boolean).join(' ')
  return (
    <div className={fault ? 'field field-faulty' : 'field'}>
      <label htmlFor={id} className={labelHidden ? 'only-read-aloud' : undefined}>
        {label}
      </label>
      {children({ id, 'aria-describedby': described || undefined, 'aria-invalid': fault ? true : undefined })}
      {hint && (
        <p id={hintId} className="field-hint">
          {hint}
        </p>
      )}
      {fault && (
        <p id={faultId} className="field-fault" role="alert">
          {fault}
        </p>
      )}
    </div>
  )
}
