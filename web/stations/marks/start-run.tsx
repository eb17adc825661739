import { useState, type MouseEvent } from 'react'
import type { Clip, Run } from '../../../workers/record/index.ts'
import { ChoiceRow } from '../../parts/choice-row.tsx'
import { LaneChip } from '../../parts/lane-chip.tsx'
import { SelectField } from '../../parts/select-field.tsx'
import { setSession, useSession } from '../../record/session.ts'
import { useRecord, useRecordState } from '../../record/store.ts'
import { goTo } from '../../shell/route.ts'
import { byKey } from '../lanes/lane-edits.ts'
import { choose, nextRun, useChosen } from '../lanes/next-run.ts'
import { mountingsOf } from '../lanes/slope-edits.ts'
import type { RunPlan } from './run-edits.ts'

interface Props {
  readonly clip: Clip
  readonly planned: RunPlan | null
  readonly onStart: (event: MouseEvent, plan: RunPlan) => void
  readonly onGiveUp: () => void
}

/** What the next run is of; its first mark brings it into the record. */
export function StartRun({ clip, planned, onStart, onGiveUp }: Props) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const sessionLane = useSession((s) => s.laneId)
  const chosen = useChosen()
  const [direction, setDirection] = useState<Run['direction']>('down')
  const [mounting, setMounting] = useState<string | null>(null)
  const view = record.views[clip.viewId]
  const lanes = Object.values(record.lanes)
    .filter((lane) => view?.lines[lane.id])
    .sort(byKey)
  const lane = lanes.find((l) => l.id === sessionLane) ?? lanes[0]
  if (!lane)
    return (
      <section>
        <p>No lane is drawn in this view yet.</p>
        <div>
          <button type="button" className="button main" onClick={() => goTo('lanes')}>
            Draw a lane
          </button>
        </div>
      </section>
    )
  const next = nextRun(record, lane.id, chosen)
  const mountings = mountingsOf(record, lane.id)
  const mountingId = mountings.find((m) => m.id === mounting)?.id ?? next.mountingId
  const ready = next.ballId !== null && next.finishId !== null && mountingId !== null
  const start = (event: MouseEvent) => {
    if (next.ballId === null || next.finishId === null || mountingId === null) return
    onStart(event, {
      laneId: lane.id,
      mountingId,
      viewId: clip.viewId,
      clipId: clip.id,
      finishId: next.finishId,
      ballId: next.ballId,
      direction,
    })
  }
  return (
    <section aria-labelledby="new-run-head">
      <h2 id="new-run-head">Mark a run</h2>
      <div className="button-row" role="group" aria-label="Lane of the run">
        {lanes.map((l) => (
          <button
            key={l.id}
            type="button"
            className="button"
            aria-pressed={l.id === lane.id}
            onClick={() => setSession({ laneId: l.id })}
          >
            <LaneChip laneId={l.id} />
          </button>
        ))}
      </div>
      <ChoiceRow
        label="The ball rolls"
        value={direction}
        choices={[
          { value: 'down', label: 'down the line' },
          { value: 'up', label: 'up it' },
          { value: 'level', label: 'on the level' },
        ]}
        onChange={setDirection}
      />
      {ready ? (
        <details>
          <summary className="small quiet">
            {record.balls[next.ballId ?? '']?.name}, {record.finishes[next.finishId ?? '']?.name},{' '}
            {record.mountings[mountingId ?? '']?.name}
          </summary>
          <SelectField
            label="Ball"
            value={next.ballId}
            choices={Object.values(record.balls).map((ball) => ({ value: ball.id, label: ball.name }))}
            onChange={(ballId) => choose({ ballId })}
          />
          <SelectField
            label="Finish"
            value={next.finishId}
            choices={Object.values(record.finishes)
              .sort((a, b) => a.order - b.order)
              .map((finish) => ({ value: finish.id, label: finish.name }))}
            onChange={(finishId) => choose({ finishId })}
          />
          <SelectField
            label="Mounting"
            value={mountingId}
            choices={mountings.map((m) => ({ value: m.id, label: m.name }))}
            onChange={setMounting}
          />
        </details>
      ) : (
        <p>
          A run needs a ball and a finish.{' '}
          <button type="button" className="link" onClick={() => goTo('lanes')}>
            Choose them
          </button>
        </p>
      )}
      <div className="button-row">
        {planned ? (
          <button type="button" className="button" onClick={onGiveUp}>
            Give up this run
          </button>
        ) : (
          <button type="button" className="button main" disabled={readOnly || !ready} onClick={start}>
            Start a run on lane {lane.key}
          </button>
        )}
      </div>
    </section>
  )
}
