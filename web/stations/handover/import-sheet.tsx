import { useMemo } from 'react'
import { rejectedSentence, type Sheet } from '../../../workers/handover/index.ts'
import { newId } from '../../record/new-id.ts'
import { commit, useRecord } from '../../record/store.ts'
import { say } from '../../shell/messages.ts'
import { ColumnFields } from './column-fields.tsx'
import { carryOut, knownByName, planImport, planSentence, type ImportChoices } from './import-plan.ts'
import { BelongsFields } from './belongs-fields.tsx'

/** Rows of the table and of those left out that are shown. */
const shownRows = 6
const shownRejected = 12

/** The chosen table: what its columns mean, what its rows become, what is left out and why, and the import itself. */
export function ImportSheet({
  file,
  sheet,
  choices,
  onChoices,
  onDone,
}: {
  readonly file: { readonly name: string; readonly size: number }
  readonly sheet: Sheet
  readonly choices: ImportChoices
  readonly onChoices: (choices: ImportChoices) => void
  readonly onDone: () => void
}) {
  const record = useRecord((r) => r)
  const plan = useMemo(
    () => planImport(record, sheet, file, choices, (what) => newId(`${what}-`)),
    [record, sheet, file, choices],
  )
  const known = useMemo(() => knownByName(record, sheet, choices.columns), [record, sheet, choices.columns])
  const carry = () => {
    if (plan.kind !== 'plan') return
    const outcome = commit(`import ${file.name}`, (draft) => carryOut(draft, plan))
    if (outcome.kind === 'read-only')
      say('wrong', 'This record is open in another tab, so nothing was imported. Import it there.', { key: 'import' })
    else if (outcome.kind === 'nothing-changed')
      say('told', `${file.name} holds the marks that the record has already.`, { key: 'import' })
    else say('told', `Imported ${planSentence(plan)}`, { key: 'import' })
    if (outcome.kind !== 'read-only') onDone()
  }
  return (
    <>
      <h3>{file.name}</h3>
      <p className="quiet">
        {sheet.rows.length} rows, {sheet.columns} columns, parted by {delimiterWords[sheet.delimiter]}, decimal{' '}
        {sheet.decimal === ',' ? 'comma' : 'point'}
      </p>
      <Preview sheet={sheet} />
      <ColumnFields
        sheet={sheet}
        columns={choices.columns}
        onChange={(columns) => onChoices({ ...choices, columns })}
      />
      <BelongsFields known={known} choices={choices} onChoices={onChoices} />
      {plan.rejected.length > 0 && (
        <ul className="rejected-rows" aria-label="Rows left out">
          {plan.rejected.slice(0, shownRejected).map((row, i) => (
            <li key={i}>{rejectedSentence(sheet, row)}</li>
          ))}
          {plan.rejected.length > shownRejected && <li>and {plan.rejected.length - shownRejected} more</li>}
        </ul>
      )}
      <p role="status" className={plan.kind === 'plan' ? undefined : 'damage'}>
        {plan.kind === 'plan' ? planSentence(plan) : plan.why}
      </p>
      <div className="button-row">
        <button type="button" className="button main" disabled={plan.kind !== 'plan'} onClick={carry}>
          Import
        </button>
        <button type="button" className="button" onClick={onDone}>
          Leave it
        </button>
      </div>
    </>
  )
}

const delimiterWords: Readonly<Record<Sheet['delimiter'], string>> = {
  '\t': 'tabs',
  ';': 'semicolons',
  '|': 'bars',
  ',': 'commas',
}

function Preview({ sheet }: { readonly sheet: Sheet }) {
  const columns = Array.from({ length: sheet.columns }, (_, i) => i)
  return (
    <div className="table-room import-preview" tabIndex={0} role="group" aria-label="First rows of the table">
      <table>
        <thead>
          <tr>
            <th scope="col">line</th>
            {columns.map((i) => (
              <th key={i} scope="col">
                {sheet.header?.[i] || `column ${i + 1}`}
                {sheet.units?.[i] ? `, ${sheet.units[i]}` : ''}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {sheet.rows.slice(0, shownRows).map(({ line, cells }) => (
            <tr key={line}>
              <th scope="row">{line}</th>
              {columns.map((i) => (
                <td key={i}>{cells[i] ?? ''}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  )
}
