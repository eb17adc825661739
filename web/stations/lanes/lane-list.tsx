import { useState, type MouseEvent } from 'react'
import type { View } from '../../../workers/record/index.ts'
import { Dialog, useDialog } from '../../parts/dialog.tsx'
import { LaneChip } from '../../parts/lane-chip.tsx'
import { setSession } from '../../record/session.ts'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { fewestBent, type Drawing } from './drawing.ts'
import { byKey, removeLane, runsOf } from './lane-edits.ts'

interface Props {
  readonly view: View
  readonly laneId: string | null
  readonly drawing: Drawing | null
  readonly onDraw: (event: MouseEvent, what: Drawing['what'], laneId: string | null) => void
  /** All points of a bent path are placed. */
  readonly onEnough: () => void
  readonly onTakeBack: () => void
  readonly onGiveUp: () => void
}

/** The lanes of the record; the chosen one is worked on. */
export function LaneList({ view, laneId, drawing, onDraw, onEnough, onTakeBack, onGiveUp }: Props) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const [leaving, setLeaving] = useState<string | null>(null)
  const dialog = useDialog(leaving !== null, () => setLeaving(null))
  const lanes = Object.values(record.lanes).sort(byKey)
  const remove = (id: string) => {
    commit(`remove lane ${record.lanes[id]?.key ?? ''}`, (draft) => removeLane(draft, id))
    setLeaving(null)
    setSession({ laneId: null })
  }
  return (
    <section aria-labelledby="lanes-head">
      <h2 id="lanes-head">Lanes</h2>
      {lanes.length === 0 && !drawing && (
        <p className="quiet">
          A lane line is the path of the ball’s centre in the picture: first its upper end, then its lower one.
        </p>
      )}
      {lanes.length > 0 && (
        <table className="choose-table">
          <tbody>
            {lanes.map((lane) => (
              <tr key={lane.id} className={lane.id === laneId ? 'chosen' : undefined}>
                <td>
                  <button
                    type="button"
                    className="row-button"
                    aria-pressed={lane.id === laneId}
                    onClick={() => setSession({ laneId: lane.id })}
                  >
                    <LaneChip laneId={lane.id} withName />
                  </button>
                </td>
                <td className="quiet">{view.lines[lane.id] ? '' : 'not drawn in this view'}</td>
                <td className="number">
                  <button
                    type="button"
                    className="button plain small-button"
                    disabled={readOnly}
                    aria-label={`Remove lane ${lane.key}`}
                    onClick={() => (runsOf(record, lane.id) === 0 ? remove(lane.id) : setLeaving(lane.id))}
                  >
                    remove
                  </button>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <div className="button-row">
        {drawing ? (
          <>
            {drawing.what === 'bent' && drawing.points.length >= fewestBent && (
              <button type="button" className="button main" onClick={onEnough}>
                That is all
              </button>
            )}
            {drawing.points.length > 0 && (
              <button type="button" className="button" onClick={onTakeBack}>
                Take back the last
              </button>
            )}
            <button type="button" className="button" onClick={onGiveUp}>
              Give up drawing
            </button>
          </>
        ) : (
          <>
            <button
              type="button"
              className={lanes.length === 0 ? 'button main' : 'button'}
              disabled={readOnly}
              onClick={(event) => onDraw(event, 'line', null)}
            >
              Draw {lanes.length === 0 ? 'a lane' : 'another lane'}
            </button>
            <button
              type="button"
              className="button"
              disabled={readOnly}
              onClick={(event) => onDraw(event, 'bent', null)}
            >
              Draw a bent one
            </button>
          </>
        )}
      </div>
      <Dialog
        {...dialog}
        title="Remove the lane?"
        actions={
          <button type="button" className="button main" onClick={() => leaving && remove(leaving)}>
            Remove lane and runs
          </button>
        }
      >
        <p>
          {leaving &&
            `Lane ${record.lanes[leaving]?.key ?? ''} carries ${runsOf(record, leaving)} runs with all their marks; they would go with it. Undo brings everything back.`}
        </p>
      </Dialog>
    </section>
  )
}
