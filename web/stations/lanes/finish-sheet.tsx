import { useState } from 'react'
import { SelectField } from '../../parts/select-field.tsx'
import { TextField } from '../../parts/text-field.tsx'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { choose, nextRun, useChosen } from './next-run.ts'
import { addFinish } from './slope-edits.ts'

const another = 'another finish'
const usual = ['as cut', 'planed', 'sanded 120', 'sanded 240', 'sanded 600', 'waxed', 'oiled', 'varnished', 'polished']

/** The state of the lane's surface when it was filmed. */
export function FinishSheet({ laneId }: { laneId: string }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const chosen = useChosen()
  const { finishId } = nextRun(record, laneId, chosen)
  const [adding, setAdding] = useState(false)
  const finishes = Object.values(record.finishes).sort((a, b) => a.order - b.order)
  const finish = finishId === null ? undefined : record.finishes[finishId]
  return (
    <section aria-labelledby="finish-head">
      <h2 id="finish-head">Finish</h2>
      <SelectField
        label="Surface on the next run"
        value={adding || !finish ? another : finish.id}
        choices={[
          ...finishes.map((f) => ({ value: f.id, label: f.name })),
          { value: another, label: 'another finish …', disabled: readOnly },
        ]}
        onChange={(id) => {
          setAdding(id === another)
          if (id !== another) choose({ finishId: id })
        }}
      />
      {adding || !finish ? (
        <TextField
          label="Name of the new finish"
          value=""
          suggestions={usual}
          readOnly={readOnly}
          onChange={(name) => {
            if (!name) return
            let id = ''
            commit(`finish “${name}”`, (draft) => {
              id = addFinish(draft, name)
            })
            choose({ finishId: id })
            setAdding(false)
          }}
        />
      ) : (
        <TextField
          label="Its name"
          value={finish.name}
          suggestions={usual}
          readOnly={readOnly}
          onChange={(name) => {
            if (name)
              commit('name the finish', (draft) => {
                const held = draft.finishes[finish.id]
                if (held) held.name = name
              })
          }}
        />
      )}
    </section>
  )
}
