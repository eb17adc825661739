import { simulatorForms } from '../../../../workers/handover/index.ts'
import type { LaneResult } from '../../../../workers/fit/results.ts'
import type { SlowlaneRecord } from '../../../../workers/record/index.ts'
import { LaneChip } from '../../../parts/lane-chip.tsx'
import { bookOf } from '../../compare/compared.ts'
import { rowKey } from '../../results/row-key.ts'
import { fieldText } from '../shown-forms.ts'

/** The form that holds in every engine, lane by lane; the others are in Handover. */
export function SimulatorsPart({
  record,
  results,
}: {
  readonly record: SlowlaneRecord
  readonly results: readonly LaneResult[]
}) {
  const rows = results.flatMap((result) => {
    const { forms } = simulatorForms(record, bookOf(record), result)
    const form = forms.find(({ id }) => id === 'centre-drag')
    return form ? [{ result, form }] : []
  })
  const equation = rows[0]?.form.equation
  if (equation === undefined) return null
  return (
    <section>
      <h2>Friction for a simulator: drag at the centre</h2>
      <p className="equation">{equation}</p>
      <table className="report-table">
        <thead>
          <tr>
            <th scope="col">lane</th>
            <th scope="col">finish</th>
            <th scope="col">numbers</th>
            <th scope="col">validity</th>
          </tr>
        </thead>
        <tbody>
          {rows.map(({ result, form }) => (
            <tr key={rowKey(result)}>
              <th scope="row">
                <LaneChip laneId={result.laneId} />
              </th>
              <td>{record.finishes[result.finishId]?.name}</td>
              <td>
                {form.fields.map((field) => (
                  <div key={field.name}>
                    {field.name} {fieldText(field)}
                  </div>
                ))}
              </td>
              <td>
                {form.validity.kind}
                {form.validity.kind === 'valid' ? '' : `: ${form.validity.why}`}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <p>
        Against the velocity, at the ball’s centre, with the engine’s own rolling friction and damping of ball and lane
        at 0. It holds for these balls, guides and speeds.
      </p>
    </section>
  )
}
