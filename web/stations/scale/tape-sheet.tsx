import { useMemo, useState, type MouseEvent } from 'react'
import { sentenceFor } from '../../../workers/measure/sentences.ts'
import { tapeReport, type TickReport } from '../../../workers/measure/tape-report.ts'
import type { LaneLine, View } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain, showValue } from '../../format/value.ts'
import { Flag } from '../../parts/flag.tsx'
import { NumberField } from '../../parts/number-field.tsx'
import { SelectField } from '../../parts/select-field.tsx'
import { beginPlacing } from '../../picture/begin-placing.ts'
import { download } from '../../record/record-file.ts'
import { setSession, useSession } from '../../record/session.ts'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { goTo } from '../../shell/route.ts'
import { StatedEditor } from '../stated/stated-editor.tsx'
import type { Placing } from './placing.ts'
import { stepFault } from './sentences.ts'
import { removeTape, removeTick, tickHalf_m } from './tape-edits.ts'
import { tapeStrip } from './tape-strip.ts'

interface Props {
  readonly view: View
  readonly onPlacing: (placing: Placing) => void
}

/** A tape of ticks at known lengths along a lane: it scales lanes that bend, climb or recede, which no plane holds. */
export function TapeSheet({ view, onPlacing }: Props) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const laneId = useSession((s) => s.laneId)
  const lines = Object.values(view.lines)
  const line = lines.find((one) => one.laneId === laneId) ?? lines.find((one) => one.ticks) ?? lines[0]
  const begin = (event: MouseEvent) => {
    if (!line) return
    onPlacing({ what: 'ticks', planeId: null, laneId: line.laneId, points: [] })
    beginPlacing(event)
  }
  const keyOf = (id: string) => record.lanes[id]?.key ?? '?'
  return (
    <details open={lines.some((one) => (one.ticks?.length ?? 0) > 0)}>
      <summary>
        <h2>Tape along a lane</h2>
      </summary>
      <p className="small quiet">
        Marks at known lengths along a lane scale it by themselves, however it bends or runs off into the depth: three
        at least, five or more along its whole length are better.
      </p>
      {!line ? (
        <p>
          A tape belongs to a lane line.{' '}
          <button type="button" className="link" onClick={() => goTo('lanes')}>
            Draw one on Lanes
          </button>
        </p>
      ) : (
        <>
          {lines.length > 1 && (
            <SelectField
              label="Tape of lane"
              value={line.laneId}
              choices={lines.map((one) => ({
                value: one.laneId,
                label: `${keyOf(one.laneId)}${one.ticks ? `, ${one.ticks.length} ticks` : ''}`,
              }))}
              onChange={(id) => setSession({ laneId: id })}
            />
          )}
          {line.ticks && line.ticks.length > 0 && <Ticks view={view} line={line} />}
          <div className="button-row">
            <button type="button" className="button" disabled={readOnly} onClick={begin}>
              {line.ticks ? 'Place its ticks anew' : `Place ticks along lane ${keyOf(line.laneId)}`}
            </button>
            {line.ticks && (
              <button
                type="button"
                className="button plain"
                disabled={readOnly}
                aria-label={`Remove the tape of lane ${keyOf(line.laneId)}`}
                onClick={() => commit('remove the tape', (draft) => removeTape(draft, view.id, line.laneId))}
              >
                remove
              </button>
            )}
          </div>
        </>
      )}
      <PrintStrip />
    </details>
  )
}

function Ticks({ view, line }: { view: View; line: LaneLine }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const report = useMemo(() => tapeReport(record, view.id, line.laneId), [record, view.id, line.laneId])
  const ticks = line.ticks ?? []
  const found = new Map<number, TickReport>(report.kind === 'tape-report' ? report.ticks.map((t) => [t.i, t]) : [])
  const put = (i: number, s_m: number) =>
    commit('number of a tick', (draft) => {
      const tick = draft.views[view.id]?.lines[line.laneId]?.ticks?.[i]
      if (tick) tick.s_m = s_m
    })
  return (
    <>
      {report.kind !== 'tape-report' ? (
        <p className="damage">{sentenceFor(report)}</p>
      ) : (
        <p>
          The lane line is <b>{showValue(1000 * report.length_m, 2000 * report.u_m, 'mm').text}</b> long, from{' '}
          {showPlain(1000 * report.from_m, 4)} to {showPlain(1000 * report.to_m, 4)} mm of the tape.
        </p>
      )}
      <table className="choose-table">
        <thead>
          <tr>
            <th scope="col">tick</th>
            <th scope="col">its number</th>
            <th scope="col" className="number">
              off by, mm
            </th>
            <th scope="col">
              <span className="only-read-aloud">remove</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {ticks.map((tick, i) => {
            const off = found.get(i)?.off_m
            const isWorst = report.kind === 'tape-report' && report.worst?.i === i
            return (
              <tr key={i}>
                <td>{i + 1}</td>
                <td>
                  <NumberField
                    label={`Number of tick ${i + 1}`}
                    labelHidden
                    unit={units.mm}
                    value={tick.s_m}
                    readOnly={readOnly}
                    onChange={(s_m) => put(i, s_m)}
                  />
                </td>
                <td className="number">
                  {off === null || off === undefined ? '' : <Off off_m={off} flag={isWorst} />}
                </td>
                <td>
                  <button
                    type="button"
                    className="button plain small-button"
                    disabled={readOnly}
                    aria-label={`Remove tick ${i + 1}`}
                    onClick={() => commit('remove a tick', (draft) => removeTick(draft, view.id, line.laneId, i))}
                  >
                    remove
                  </button>
                </td>
              </tr>
            )
          })}
        </tbody>
      </table>
      {report.kind === 'tape-report' && report.worst && (
        <p className="damage">
          Tick {report.worst.i + 1} stands {showPlain(1000 * Math.abs(report.worst.off_m!), 2)} mm from where the others
          put it; ± {showPlain(2000 * report.worst.u_m, 2)} mm is explained. Check its number and its place.
        </p>
      )}
      <StatedEditor
        label="Each tick stands where it says to"
        unit={units.mm}
        stated={line.tickPosition_m}
        about={{ name: 'place of each tick', unit: 'm' }}
        put={(draft, stated) => {
          const held = draft.views[view.id]?.lines[line.laneId]
          // What is stated is how far off each may be; there is no value to it.
          if (held) held.tickPosition_m = { ...stated, value: 0 }
        }}
        usual={{ kind: 'rectangular', half: tickHalf_m }}
        usualBasis="printed strip, checked with a rule"
        hint="Type the ± only: how far a tick may be from its number."
      />
    </>
  )
}

const Off = ({ off_m, flag }: { off_m: number; flag: boolean }) => {
  const text = showPlain(1000 * off_m, 2)
  return flag ? <Flag>{text}</Flag> : <>{text}</>
}

/** A strip to print, cut and glue along the lane. */
function PrintStrip() {
  const [length_m, setLength] = useState(0.72)
  const [step_m, setStep] = useState(0.01)
  const strip = useMemo(() => tapeStrip(1000 * length_m, 1000 * step_m), [length_m, step_m])
  const file = () => new Blob([strip.svg], { type: 'image/svg+xml' })
  return (
    <details>
      <summary className="small quiet">A tape to print</summary>
      <div className="two-fields">
        <NumberField
          label="Long"
          unit={units.mm}
          value={length_m}
          onChange={setLength}
          check={(value) =>
            value > 0 && value <= 5 ? undefined : `${showPlain(1000 * value)} mm cannot be printed. Type 1 … 5000 mm.`
          }
        />
        <NumberField
          label="A tick every"
          unit={units.mm}
          value={step_m}
          onChange={setStep}
          check={(value) =>
            value >= 0.001 && value <= 0.1
              ? undefined
              : `Ticks ${showPlain(1000 * value)} mm apart cannot be. Type 1 … 100 mm.`
          }
        />
      </div>
      <p className="small quiet">
        {strip.pieces} {strip.pieces === 1 ? 'piece' : 'pieces'} of 180 mm on {strip.pages}{' '}
        {strip.pages === 1 ? 'sheet' : 'sheets'} of A4. Print at 100 % and lay a rule on the 100 mm line of the sheet.
      </p>
      <div className="button-row">
        <button type="button" className="button" onClick={() => download(file(), 'tape-of-ticks.svg')}>
          Save the strip (SVG)
        </button>
      </div>
    </details>
  )
}

/** Where the ticks are placed: which number does the first carry, and how far is it from one to the next? */
export function TickNumbers({
  placing,
  onEnter,
}: {
  placing: Placing
  onEnter: (first_m: number, step_m: number) => void
}) {
  const [first_m, setFirst] = useState(0)
  const [step_m, setStep] = useState(0.05)
  const last_m = first_m + (placing.points.length - 1) * step_m
  return (
    <>
      <div className="two-fields">
        <NumberField label="Number of the first tick" unit={units.mm} value={first_m} onChange={setFirst} autoFocus />
        <NumberField label="From tick to tick" unit={units.mm} value={step_m} onChange={setStep} check={stepFault} />
      </div>
      <p className="small quiet">
        {placing.points.length} ticks, from {showPlain(1000 * first_m, 5)} to {showPlain(1000 * last_m, 5)} mm. Single
        numbers can be corrected afterwards.
      </p>
      <button type="button" className="button main" onClick={() => onEnter(first_m, step_m)}>
        Take these ticks
      </button>
    </>
  )
}
