import { useId } from 'react'
import type { Distribution } from '../../workers/record/index.ts'
import type { DisplayUnit } from '../format/units.ts'
import { showValue } from '../format/value.ts'
import { figureOf, inShape, shapes, withFigure, type Shape } from '../stations/stated/half-width.ts'
import { Field } from './field.tsx'
import { NumberField } from './number-field.tsx'
import { TextField } from './text-field.tsx'
import { negativeFault } from './sentences.ts'

/** A value with what is said about it, in SI: what the editor shows and gives back. */
export interface StatedFigures {
  readonly value: number
  readonly distribution: Distribution
  readonly basis: string
  readonly unknown: boolean
}

export interface PlusMinusFieldProps {
  readonly label: string
  readonly unit: DisplayUnit
  readonly figures: StatedFigures | null
  /** One call, one gesture, one entry of undo. */
  readonly onChange: (figures: StatedFigures) => void
  /** A sentence when the value cannot be. */
  readonly check?: (value: number) => string | undefined
  /** What ± is taken when only a value is typed. */
  readonly usual: Distribution
  readonly usualBasis: string
  /** What “I don't know” stands for, and what knowing it would bring. Without it the answer is not offered. */
  readonly wide?: {
    readonly value: number
    readonly distribution: Distribution
    readonly basis: string
    readonly brings: string
  }
  readonly hint?: string
  readonly readOnly?: boolean
}

/** A value, its ± and how that is meant; or “I don't know”, which becomes a wide ± that is shown. */
export function PlusMinusField(props: PlusMinusFieldProps) {
  const { label, unit, figures, onChange, check, usual, usualBasis, wide, hint, readOnly = false } = props
  const id = useId()
  const current: Omit<StatedFigures, 'value'> = figures ?? { distribution: usual, basis: usualBasis, unknown: false }
  const figure = figureOf(current.distribution)
  const known = figures !== null && !figures.unknown
  return (
    <fieldset className="plus-minus">
      <legend>{label}</legend>
      {!(figures?.unknown ?? false) && (
        <div className="plus-minus-row">
          <NumberField
            label={`${label}, value`}
            labelHidden
            unit={unit}
            value={figures?.value ?? null}
            readOnly={readOnly}
            {...(check ? { check } : {})}
            onChange={(value, U) =>
              onChange({
                value,
                unknown: false,
                basis: known ? current.basis : usualBasis,
                distribution: U === null ? (known ? current.distribution : usual) : withFigure(shapeFor(current), U),
              })
            }
          />
          <span aria-hidden="true">±</span>
          <NumberField
            label={`${label}, plus or minus`}
            labelHidden
            unit={unit}
            value={known ? figure : null}
            readOnly={readOnly || !known}
            check={(half) => (half < 0 ? negativeFault(half, unit) : undefined)}
            onChange={(half) => {
              if (figures) onChange({ ...figures, distribution: withFigure(shapeFor(current), half) })
            }}
          />
        </div>
      )}
      {figures?.unknown && (
        <p className="plus-minus-unknown">
          taken as {showValue(figures.value / unit.si, figure / unit.si, unit.label).text}
        </p>
      )}
      {wide && (
        <label className="check">
          <input
            type="checkbox"
            checked={figures?.unknown ?? false}
            disabled={readOnly}
            aria-describedby={`${id}-brings`}
            onChange={(event) =>
              onChange(
                event.target.checked
                  ? { value: wide.value, distribution: wide.distribution, basis: wide.basis, unknown: true }
                  : { value: figures?.value ?? wide.value, distribution: usual, basis: usualBasis, unknown: false },
              )
            }
          />
          I don’t know
        </label>
      )}
      {wide && figures?.unknown && (
        <p id={`${id}-brings`} className="field-hint">
          {wide.brings}
        </p>
      )}
      {hint && <p className="field-hint">{hint}</p>}
      {known && (
        <details className="plus-minus-how">
          <summary>How sure, and from what</summary>
          <Field label="± means">
            {(ids) => (
              <select
                {...ids}
                value={current.distribution.kind}
                disabled={readOnly}
                onChange={(event) => {
                  const kind = shapes.find((shape) => shape.kind === event.target.value)?.kind
                  if (kind) onChange({ ...figures, distribution: inShape(current.distribution, kind) })
                }}
              >
                {shapes.map((shape) => (
                  <option key={shape.kind} value={shape.kind}>
                    {shape.label}
                  </option>
                ))}
              </select>
            )}
          </Field>
          <TextField
            label="Known from"
            value={current.basis}
            readOnly={readOnly}
            onChange={(basis) => onChange({ ...figures, basis })}
          />
        </details>
      )}
    </fieldset>
  )
}

const shapeFor = (current: { readonly distribution: Distribution }): Shape => current.distribution.kind
