import type { Run } from '../../../workers/record/index.ts'
import { ChoiceRow } from '../../parts/choice-row.tsx'
import { SelectField } from '../../parts/select-field.tsx'
import { setSession } from '../../record/session.ts'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { byKey } from '../lanes/lane-edits.ts'
import { mountingsOf } from '../lanes/slope-edits.ts'
import { called } from './run-edits.ts'
import { moveRun } from './whole-run-edits.ts'

/** What a run is of, for correcting; leaving it out; taking it away. */
export function RunSheet({ run }: { run: Run }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const name = called(record, run)
  const change = (what: string, recipe: (run: Run) => void) =>
    commit(`${what} of ${name}`, (draft) => {
      const held = draft.runs[run.id]
      if (held) recipe(held)
    })
  return (
    <details className="run-sheet">
      <summary className="small quiet">
        {record.balls[run.ballId]?.name}, {record.finishes[run.finishId]?.name},{' '}
        {record.mountings[run.mountingId]?.name}
        {run.excluded && ', left out of the results'}
      </summary>
      <SelectField
        label="Lane"
        value={run.laneId}
        choices={Object.values(record.lanes)
          .sort(byKey)
          .map((lane) => ({ value: lane.id, label: `${lane.key}, ${lane.name}` }))}
        disabled={readOnly}
        onChange={(laneId) =>
          commit(`move ${name} to lane ${record.lanes[laneId]?.key ?? ''}`, (draft) => {
            moveRun(draft, record, run.id, laneId)
          })
        }
      />
      <SelectField
        label="Mounting"
        value={run.mountingId}
        choices={mountingsOf(record, run.laneId).map((m) => ({ value: m.id, label: m.name }))}
        disabled={readOnly}
        onChange={(id) => change('mounting', (held) => (held.mountingId = id))}
      />
      <SelectField
        label="Finish"
        value={run.finishId}
        choices={Object.values(record.finishes).map((f) => ({ value: f.id, label: f.name }))}
        disabled={readOnly}
        onChange={(id) => change('finish', (held) => (held.finishId = id))}
      />
      <SelectField
        label="Ball"
        value={run.ballId}
        choices={Object.values(record.balls).map((b) => ({ value: b.id, label: b.name }))}
        disabled={readOnly}
        onChange={(id) => change('ball', (held) => (held.ballId = id))}
      />
      <ChoiceRow
        label="The ball rolls"
        value={run.direction}
        choices={[
          { value: 'down', label: 'down the line' },
          { value: 'up', label: 'up it' },
          { value: 'level', label: 'on the level' },
        ]}
        disabled={readOnly}
        onChange={(direction) => change('direction', (held) => (held.direction = direction))}
      />
      <label className="check">
        <input
          type="checkbox"
          checked={run.excluded ?? false}
          disabled={readOnly}
          onChange={(event) => {
            const leave = event.target.checked
            commit(leave ? `leave out ${name}` : `use ${name}`, (draft) => {
              const held = draft.runs[run.id]
              if (!held) return
              if (leave) held.excluded = true
              else delete held.excluded
            })
          }}
        />
        Leave this run out of the results
      </label>
      <div className="button-row">
        <button
          type="button"
          className="button"
          disabled={readOnly}
          onClick={() => {
            commit(`remove ${name}`, (draft) => {
              delete draft.runs[run.id]
            })
            setSession({ runId: null, selected: null })
          }}
        >
          Remove this run
        </button>
      </div>
    </details>
  )
}
