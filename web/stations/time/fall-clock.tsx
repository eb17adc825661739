import { fewestFallMarks } from '../../../workers/measure/free-fall.ts'
import { sentenceFor } from '../../../workers/measure/sentences.ts'
import { noDeviations, valueOf, type Clip, type View } from '../../../workers/record/index.ts'
import { showPlain, showValue } from '../../format/value.ts'
import { SelectField } from '../../parts/select-field.tsx'
import { beginPlacing } from '../../picture/begin-placing.ts'
import { useRecord, useRecordState } from '../../record/store.ts'
import { EmptyStation } from '../empty-station.tsx'
import { EveryNth } from '../marks/every-nth.tsx'
import { fallOfRun } from './fall-marks.ts'
import { MeasuredIn, MeasuredRateLine } from './measured-rate.tsx'
import { clockOf } from './time-edits.ts'
import type { FallTool } from './use-fall-tool.ts'

interface Props {
  readonly clip: Clip
  readonly view: View
  readonly fall: FallTool
}

/** The filming rate from a ball in free fall: marked on some frames of one plane, its gain of speed is g. */
export function FallClock({ clip, view, fall }: Props) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const recorded = clockOf(view, 'free-fall')
  const here = recorded?.clipId === clip.id
  const planes = Object.values(view.planes)
  const { marks, planeId, marking } = fall
  const runs = Object.values(record.runs).filter(
    (run) => run.clipId === clip.id && run.marks.frame.length >= fewestFallMarks,
  )
  const { fit } = fall
  if (planes.length === 0)
    return (
      <>
        <p className="small quiet">A fall is a clock once the picture has a scale where the ball falls.</p>
        <EmptyStation needs="scale" />
      </>
    )
  const g = valueOf(record.settings.gravity.g_m_s2, record.sources, noDeviations)
  return (
    <>
      {recorded && !here && <MeasuredIn clipId={recorded.clipId} />}
      <p className="small quiet">
        Drop a dense ball beside the scale and mark it while it falls; it gains {showPlain(g, 5)} m/s every second. Half
        a metre, marked on fifteen frames, tells the rate to about a fifth of a percent. Air slows a steel ball too
        little to matter; a wooden one would read 1 % slow.
      </p>
      <SelectField
        label="It falls in the plane"
        value={planeId ?? ''}
        disabled={readOnly}
        choices={planes.map((plane) => ({ value: plane.id, label: plane.name }))}
        onChange={fall.setPlane}
      />
      <div className="button-row">
        <button
          type="button"
          className={marks.frames.length === 0 && !marking ? 'button main' : 'button'}
          aria-pressed={marking}
          disabled={readOnly}
          onClick={(event) => {
            fall.setMarking(!marking)
            if (!marking) beginPlacing(event)
          }}
        >
          {marking ? 'Stop marking' : 'Mark the falling ball'}
        </button>
        {marks.frames.length > 0 && (
          <button
            type="button"
            className="button"
            disabled={readOnly}
            onClick={() => fall.setMarks({ frames: [], ticks: [], points: [] })}
          >
            Take all marks away
          </button>
        )}
      </div>
      {marking && <EveryNth />}
      {fall.said && <p className="small quiet">{fall.said}</p>}
      {runs.length > 0 && (
        <SelectField
          label="Or take the marks of a run"
          value=""
          disabled={readOnly}
          choices={[
            { value: '', label: 'choose …' },
            ...runs.map((run) => ({
              value: run.id,
              label: `lane ${record.lanes[run.laneId]?.key ?? ''}, ${run.marks.frame.length} marks from frame ${run.marks.frame[0]}`,
            })),
          ]}
          onChange={(id) => {
            const run = record.runs[id]
            if (run) fall.setMarks(fallOfRun(run))
          }}
        />
      )}
      {marks.frames.length > 0 && (
        <p aria-live="polite">
          Marked on {marks.frames.length} {marks.frames.length === 1 ? 'frame' : 'frames'}
          {marks.frames.length < fewestFallMarks && `; ${fewestFallMarks} or more are needed`}.
        </p>
      )}
      {fit?.kind === 'fall' && (
        <p>
          It gains <b>{showValue(1000 * fit.perFrame2_m, 2000 * fit.u_m, 'mm per frame').text}</b> on every frame.
        </p>
      )}
      {fit && fit.kind !== 'fall' && <p className="damage">{sentenceFor(fit)}</p>}
      {!here && fit?.kind === 'fall' && (
        <div>
          <button type="button" className="button main" disabled={readOnly} onClick={fall.take}>
            Take the rate from this fall
          </button>
        </div>
      )}
      {here && fit?.kind === 'fall' && <MeasuredRateLine view={view} />}
    </>
  )
}
