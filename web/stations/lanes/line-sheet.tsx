import type { MouseEvent } from 'react'
import { laneGeometry } from '../../../workers/measure/lane-geometry.ts'
import { allSources } from '../../../workers/measure/implicit-sources.ts'
import { sentenceForRegion } from '../../../workers/measure/note-sentences.ts'
import { propagate } from '../../../workers/measure/propagate.ts'
import { laneSources } from '../../../workers/measure/run-sources.ts'
import { sentenceFor } from '../../../workers/measure/sentences.ts'
import { tapeReport } from '../../../workers/measure/tape-report.ts'
import { outsideRegion } from '../../../workers/measure/trusted-region.ts'
import {
  noDeviations,
  type Lane,
  type LaneLine,
  type SlowlaneRecord,
  type View,
} from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain, showValue } from '../../format/value.ts'
import { SelectField } from '../../parts/select-field.tsx'
import { TextField } from '../../parts/text-field.tsx'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { StatedEditor } from '../stated/stated-editor.tsx'
import type { Drawing } from './drawing.ts'

interface Props {
  readonly view: View
  readonly lane: Lane
  readonly onDraw: (event: MouseEvent, what: Drawing['what'], laneId: string | null) => void
}

const shapes = [
  { value: 'straight', label: 'straight' },
  { value: 'polyline', label: 'corner by corner' },
  { value: 'curve', label: 'a smooth curve' },
] as const

/** Name of the lane and its line in this view: shape, plane, length. */
export function LineSheet({ view, lane, onDraw }: Props) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const line = view.lines[lane.id]
  const change = (name: string, recipe: (line: LaneLine) => void) =>
    commit(name, (draft) => {
      const held = draft.views[view.id]?.lines[lane.id]
      if (held) recipe(held)
    })
  return (
    <section aria-label={`Lane ${lane.key}`} className="lane-sheet-head">
      <TextField
        label={`Name of lane ${lane.key}`}
        value={lane.name}
        readOnly={readOnly}
        onChange={(name) =>
          commit(`name lane ${lane.key}`, (draft) => {
            const held = draft.lanes[lane.id]
            if (held) held.name = name
          })
        }
      />
      {!line ? (
        <div className="button-row">
          <button
            type="button"
            className="button main"
            disabled={readOnly}
            onClick={(event) => onDraw(event, 'line', lane.id)}
          >
            Draw lane {lane.key} in this view
          </button>
          <button
            type="button"
            className="button"
            disabled={readOnly}
            onClick={(event) => onDraw(event, 'bent', lane.id)}
          >
            Draw it bent
          </button>
        </div>
      ) : (
        <>
          <div className="two-fields">
            <SelectField
              label="The line is"
              value={line.shape}
              choices={line.points.length > 2 ? shapes : shapes.slice(0, 1)}
              disabled={readOnly || line.points.length <= 2}
              onChange={(shape) => change('shape of the lane line', (held) => (held.shape = shape))}
            />
            <SelectField
              label="It lies in"
              value={line.planeId ?? 'none'}
              choices={[
                ...Object.values(view.planes).map((plane) => ({ value: plane.id, label: plane.name })),
                { value: 'none', label: 'no plane' },
              ]}
              disabled={readOnly}
              onChange={(id) => change('plane of the lane', (held) => (held.planeId = id === 'none' ? null : id))}
            />
          </div>
          <LineLength view={view} lane={lane} />
          <div className="button-row">
            <button
              type="button"
              className="button"
              disabled={readOnly}
              onClick={(event) => onDraw(event, 'point', lane.id)}
            >
              Add a point
            </button>
            <button
              type="button"
              className="button"
              disabled={readOnly}
              onClick={(event) => onDraw(event, line.points.length > 2 ? 'bent' : 'line', lane.id)}
            >
              Draw anew
            </button>
            <button
              type="button"
              className="button"
              disabled={readOnly}
              onClick={() => change('swap the ends of the lane', (held) => held.points.reverse())}
            >
              Swap its ends
            </button>
          </div>
          <details>
            <summary className="small quiet">nearer or farther than its plane</summary>
            <StatedEditor
              label="This lane is nearer to the camera than its plane by"
              unit={units.mm}
              stated={line.nearer_m}
              about={{ name: `lane ${lane.key} nearer than its plane`, unit: 'm' }}
              put={(draft, stated) => {
                const held = draft.views[view.id]?.lines[lane.id]
                if (held) held.nearer_m = stated
              }}
              usual={{ kind: 'rectangular', half: 0.002 }}
              usualBasis="measured with a rule"
              wide={{
                value: 0,
                distribution: { kind: 'rectangular', half: 0.02 },
                basis: 'set up by eye',
                brings: 'Each 5 mm at a metre is 0.5 % of every speed.',
              }}
              hint="Farther away: less than 0."
            />
          </details>
        </>
      )}
      {line && line.planeId === null && Object.keys(record.views[view.id]?.planes ?? {}).length === 0 && (
        <p className="small quiet">Pixels get their length on the Scale station.</p>
      )}
    </section>
  )
}

/** Where the line starts and ends: in numbers of its tape, or on its plane from the plane's own origin. */
function endsOf(record: SlowlaneRecord, view: View, laneId: string): readonly [string, string] | null {
  if ((view.lines[laneId]?.ticks?.length ?? 0) > 0) {
    const tape = tapeReport(record, view.id, laneId)
    return tape.kind === 'tape-report'
      ? [`${showPlain(1000 * tape.from_m, 4)} mm`, `${showPlain(1000 * tape.to_m, 4)} mm of its tape`]
      : null
  }
  const geometry = laneGeometry(record, view.id, laneId, noDeviations)
  if (geometry.kind !== 'lane' || !geometry.path_m) return null
  const place = (s_m: number) => {
    const { x, y } = geometry.path_m!.at(s_m)
    return `${showPlain(1000 * x, 4)}, ${showPlain(1000 * y, 4)} mm`
  }
  const plane = view.planes[view.lines[laneId]?.planeId ?? '']
  const axes =
    plane?.kind === 'rectangle'
      ? 'along its width, along its height'
      : plane?.kind === 'points'
        ? 'x, y'
        : 'right, down'
  return [place(0), `${place(geometry.length_m)} of its plane (${axes})`]
}

function LineLength({ view, lane }: { view: View; lane: Lane }) {
  const record = useRecord((r) => r)
  const geometry = laneGeometry(record, view.id, lane.id, noDeviations)
  if (geometry.kind !== 'lane') return <p className="damage">{sentenceFor(geometry)}</p>
  const outside = outsideRegion(record, view.id, lane.id)
  const length = propagate(laneSources(record, view, lane.id), allSources(record), (deviations) => {
    const moved = laneGeometry(record, view.id, lane.id, deviations)
    return moved.kind === 'lane' ? moved.length_m : undefined
  }) ?? { u: Infinity }
  const ends = endsOf(record, view, lane.id)
  return (
    <>
      <p>
        {showValue(1000 * geometry.length_m, 2000 * length.u, 'mm').text} from end to end.{' '}
        <span className="quiet">The ticks along it should agree with the scene.</span>
      </p>
      {ends && (
        <p className="small quiet">
          It starts at {ends[0]} and ends at {ends[1]}.
        </p>
      )}
      {outside && <p className="damage">{sentenceForRegion(outside)}</p>}
    </>
  )
}
