import type { ColumnProposal, LengthUnit, Sheet, TimeUnit } from '../../../workers/handover/index.ts'
import { SelectField, type Choice } from '../../parts/select-field.tsx'

type WhenKind = 'frame' | `time-${TimeUnit}`
type WhereKind = 'picture' | `along-${LengthUnit}`

const whenKinds: readonly Choice<WhenKind>[] = [
  { value: 'frame', label: 'number of the frame' },
  { value: 'time-s', label: 'time in s' },
  { value: 'time-ms', label: 'time in ms' },
]
const whereKinds: readonly Choice<WhereKind>[] = [
  { value: 'picture', label: 'x and y in the picture, px' },
  { value: 'along-m', label: 'along the lane in m' },
  { value: 'along-cm', label: 'along the lane in cm' },
  { value: 'along-mm', label: 'along the lane in mm' },
]

/** What each column means: proposed by its name, chosen by the person. */
export function ColumnFields({
  sheet,
  columns,
  onChange,
}: {
  readonly sheet: Sheet
  readonly columns: ColumnProposal
  readonly onChange: (columns: ColumnProposal) => void
}) {
  const { when, where } = columns
  const set = (change: Partial<ColumnProposal>) => onChange({ ...columns, ...change })
  const whenKind: WhenKind | null = when && (when.kind === 'frame' ? 'frame' : `time-${when.unit}`)
  const whereKind: WhereKind | null = where && (where.kind === 'picture' ? 'picture' : `along-${where.unit}`)
  return (
    <div className="import-fields">
      <SelectField
        label="when"
        value={whenKind}
        choices={whenKinds}
        onChange={(kind) => set({ when: whenOf(kind, when?.column ?? 0) })}
      />
      {when && (
        <ColumnField
          sheet={sheet}
          label={when.kind === 'frame' ? 'column of the frame' : 'column of the time'}
          value={when.column}
          onChange={(column) => set({ when: { ...when, column: column ?? 0 } })}
        />
      )}
      <SelectField
        label="where"
        value={whereKind}
        choices={whereKinds}
        onChange={(kind) => set({ where: whereOf(kind, where, sheet.columns) })}
      />
      {where?.kind === 'along' && (
        <ColumnField
          sheet={sheet}
          label="column of the position"
          value={where.s}
          onChange={(s) => set({ where: { ...where, s: s ?? 0 } })}
        />
      )}
      {where?.kind === 'picture' && (
        <>
          <ColumnField
            sheet={sheet}
            label="column of x"
            value={where.x}
            onChange={(x) => set({ where: { ...where, x: x ?? 0 } })}
          />
          <ColumnField
            sheet={sheet}
            label="column of y"
            value={where.y}
            onChange={(y) => set({ where: { ...where, y: y ?? 0 } })}
          />
        </>
      )}
      <ColumnField
        sheet={sheet}
        label="standard uncertainty"
        value={columns.sigma}
        none="not in the table"
        onChange={(sigma) => set({ sigma })}
      />
      <ColumnField
        sheet={sheet}
        label="name of the run"
        value={columns.run}
        none="one run only"
        onChange={(run) => set({ run })}
      />
    </div>
  )
}

const whenOf = (kind: WhenKind, column: number): NonNullable<ColumnProposal['when']> =>
  kind === 'frame' ? { kind, column } : { kind: 'time', column, unit: kind === 'time-s' ? 's' : 'ms' }

function whereOf(
  kind: WhereKind,
  before: ColumnProposal['where'],
  columns: number,
): NonNullable<ColumnProposal['where']> {
  const first = before === null ? Math.min(1, columns - 1) : before.kind === 'picture' ? before.x : before.s
  if (kind === 'picture')
    return before?.kind === 'picture' ? before : { kind, x: first, y: Math.min(first + 1, columns - 1) }
  return { kind: 'along', s: first, unit: kind === 'along-m' ? 'm' : kind === 'along-cm' ? 'cm' : 'mm' }
}

/** One column of the table; `none`: what it means to choose none. */
function ColumnField({
  sheet,
  label,
  value,
  none,
  onChange,
}: {
  readonly sheet: Sheet
  readonly label: string
  readonly value: number | undefined
  readonly none?: string
  readonly onChange: (column: number | undefined) => void
}) {
  const own = Array.from({ length: sheet.columns }, (_, i): Choice<string> => ({
    value: String(i),
    label: sheet.header?.[i] || `column ${i + 1}`,
  }))
  return (
    <SelectField
      label={label}
      value={value === undefined ? 'none' : String(value)}
      choices={none === undefined ? own : [{ value: 'none', label: none }, ...own]}
      onChange={(chosen) => onChange(chosen === 'none' ? undefined : Number(chosen))}
    />
  )
}
