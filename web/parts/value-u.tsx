import type { DisplayUnit } from '../format/units.ts'
import { showValue } from '../format/value.ts'

/** A measured number: the value in full weight, its ± smaller; the unit beside it unless the column says it. Both in SI. */
export function ValueU({
  value,
  U,
  unit,
  withUnit = false,
  strong = false,
}: {
  readonly value: number
  readonly U: number | null
  readonly unit: DisplayUnit
  readonly withUnit?: boolean
  readonly strong?: boolean
}) {
  const shown = showValue(value / unit.si, U === null ? null : U / unit.si, unit.label)
  const figure = strong ? <b>{shown.value}</b> : shown.value
  return (
    <span className="value-u">
      {figure}
      {shown.U !== null && <span className="u"> ± {shown.U}</span>}
      {withUnit && shown.unit !== '' && (unit.label === '°' ? '°' : ` ${shown.unit}`)}
    </span>
  )
}
