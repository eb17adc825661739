import { useEffect, useRef, useState, type MouseEvent } from 'react'
import { checkLine } from '../../../workers/measure/check-line.ts'
import { sentenceFor } from '../../../workers/measure/sentences.ts'
import type { View } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showValue } from '../../format/value.ts'
import { PlusMinusField, type StatedFigures } from '../../parts/plus-minus-field.tsx'
import { beginPlacing } from '../../picture/begin-placing.ts'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { KnownPoints } from './known-points.tsx'
import { addBar, addBarPlane, addCheck, addPointsPlane, addRectanglePlane, inTurn } from './plane-edits.ts'
import { isPlaced, type Placing } from './placing.ts'
import { barFault, lengthFault } from './sentences.ts'
import { putTape } from './tape-edits.ts'
import { TickNumbers } from './tape-sheet.tsx'

interface Props {
  readonly view: View
  readonly placing: Placing | null
  readonly onPlacing: (placing: Placing | null) => void
}

/** A length read at both ends of a steel rule (common practice, no source). */
const ruleRead = { kind: 'rectangular', half: 0.0005 } as const

/** Begins a scale, and asks for its lengths once its points stand. */
export function NewScale({ view, placing, onPlacing }: Props) {
  const readOnly = useRecordState((s) => s.readOnly)
  const none = Object.keys(view.planes).length === 0
  const begin = (event: MouseEvent, what: 'bar' | 'rectangle' | 'points') => {
    onPlacing({ what, planeId: null, points: [] })
    beginPlacing(event)
  }
  return (
    <section aria-labelledby="scale-head">
      <h2 id="scale-head">Scale</h2>
      {none && !placing && (
        <p className="quiet">
          A rectangle of known size around the lanes tells everything, even how the camera stands. A single bar beside
          the ball’s path serves too, but then the camera’s pitch goes into the ±.
        </p>
      )}
      {!placing && (
        <div className="button-row">
          <button
            type="button"
            className={none ? 'button main' : 'button'}
            disabled={readOnly}
            onClick={(event) => begin(event, 'rectangle')}
          >
            Rectangle of known size
          </button>
          <button type="button" className="button" disabled={readOnly} onClick={(event) => begin(event, 'bar')}>
            Scale bar
          </button>
          <button type="button" className="button" disabled={readOnly} onClick={(event) => begin(event, 'points')}>
            Points of known position
          </button>
        </div>
      )}
      {placing && isPlaced(placing) && <Lengths view={view} placing={placing} onDone={() => onPlacing(null)} />}
    </section>
  )
}

/** The points stand: how long is it? The scale enters the record with its lengths. */
function Lengths({ view, placing, onDone }: { view: View; placing: Placing; onDone: () => void }) {
  const form = useRef<HTMLDivElement>(null)
  const [width, setWidth] = useState<StatedFigures | null>(null)
  useEffect(() => form.current?.querySelector('input')?.focus(), [])
  const [a, b] = placing.points
  if (!a || !b) return null
  const asked = { unit: units.mm, check: lengthFault, usual: ruleRead, usualBasis: 'steel rule, read at both ends' }
  const enter = (length: StatedFigures) => {
    switch (placing.what) {
      case 'bar':
        commit('place a scale bar', (draft) => {
          if (placing.planeId === null) addBarPlane(draft, view.id, a, b, length)
          else addBar(draft, view.id, placing.planeId, a, b, length)
        })
        return onDone()
      case 'check':
        if (placing.planeId !== null) {
          const planeId = placing.planeId
          commit('check the scale', (draft) => addCheck(draft, view.id, planeId, a, b, length))
        }
        return onDone()
      case 'rectangle':
        if (!width) return setWidth(length)
        commit('place a rectangle', (draft) =>
          addRectanglePlane(draft, view.id, placing.points, width, length, placing.u_px),
        )
        return onDone()
      default:
        // The others have no length and are in the record already, or ask for something else below.
        return onDone()
    }
  }
  const tooShort = (placing.what === 'bar' || placing.what === 'check') && barFault(a, b)
  const ask = () => {
    switch (placing.what) {
      case 'points':
        return (
          <KnownPoints
            points={placing.points}
            onEnter={(known, position) => {
              commit('place points of known position', (draft) =>
                addPointsPlane(draft, view.id, known, position, placing.u_px),
              )
              onDone()
            }}
          />
        )
      case 'ticks':
        return (
          <TickNumbers
            placing={placing}
            onEnter={(first_m, step_m) => {
              commit('place a tape of ticks', (draft) =>
                putTape(draft, view.id, placing.laneId ?? '', placing.points, first_m, step_m),
              )
              onDone()
            }}
          />
        )
      case 'rectangle':
        return (
          <>
            <PlusMinusField
              key="width"
              label="Width of the rectangle (upper side)"
              figures={width}
              onChange={setWidth}
              {...asked}
            />
            {width && <Height {...asked} onEnter={enter} />}
            {!width && <p className="small quiet">{sides(placing)}</p>}
          </>
        )
      default:
        return (
          <PlusMinusField
            label={placing.what === 'bar' ? 'Length of the bar' : 'Its true length, if you know it'}
            figures={null}
            onChange={enter}
            {...asked}
          />
        )
    }
  }
  return (
    <div ref={form} className="lengths">
      {placing.what === 'check' && <Measured view={view} placing={placing} />}
      {placing.says && (
        <p className="small" aria-live="polite">
          {placing.says}
        </p>
      )}
      {tooShort ? <p className="damage">{tooShort}</p> : ask()}
      <div>
        <button type="button" className="button" onClick={onDone}>
          {placing.what === 'check' ? 'Done' : 'Give up'}
        </button>
      </div>
    </div>
  )
}

type Asked = Pick<Parameters<typeof PlusMinusField>[0], 'unit' | 'check' | 'usual' | 'usualBasis'>

function Height({ onEnter, ...asked }: Asked & { onEnter: (height: StatedFigures) => void }) {
  const field = useRef<HTMLDivElement>(null)
  useEffect(() => field.current?.querySelector('input')?.focus(), [])
  return (
    <div ref={field}>
      <PlusMinusField label="Height of the rectangle" figures={null} onChange={onEnter} {...asked} />
    </div>
  )
}

function sides(placing: Placing): string {
  const [p, q, r] = inTurn(placing.points)
  const long = (a: { x: number; y: number }, b: { x: number; y: number }) =>
    Math.round(Math.hypot(b.x - a.x, b.y - a.y))
  return `The upper side is ${long(p, q)} px long in the picture, the one to its right ${long(q, r)} px.`
}

/** What the plane makes of the two points, to be held against a known length. */
function Measured({ view, placing }: { view: View; placing: Placing }) {
  const record = useRecord((r) => r)
  const [a, b] = placing.points
  if (!a || !b || placing.planeId === null) return null
  const found = checkLine(record, view.id, placing.planeId, a, b)
  if (found.kind !== 'length') return <p className="damage">{sentenceFor(found)}</p>
  return (
    <p aria-live="polite">
      By this scale it is <b>{showValue(1000 * found.length_m, 2000 * found.u_m, 'mm').text}</b> long.
    </p>
  )
}
