import { useMemo, useState } from 'react'
import type { LaneResult } from '../../../workers/fit/results.ts'
import { resimulateLane, type Along, type Resimulation } from '../../../workers/handover/index.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { ChoiceRow } from '../../parts/choice-row.tsx'
import { ValueU } from '../../parts/value-u.tsx'
import { laneNumber } from '../../picture/lane-stroke.ts'
import { Plot } from '../../plots/plot.tsx'
import { useRecord } from '../../record/store.ts'
import { bookOf } from '../compare/compared.ts'
import { leftOverFigure, overFigure, percentOff, scatterSentence } from './rerun-figures.ts'

/** Whether the handed-over values give the measured motion back: every run rolled once more, one drawn over its marks. */
export function Rerun({ result }: { readonly result: LaneResult }) {
  const record = useRecord((r) => r)
  const [along, setAlong] = useState<Along>('one-value')
  const [chosen, setChosen] = useState<string | null>(null)
  const all = useMemo(() => resimulateLane(record, bookOf(record), result, along), [record, result, along])
  const reruns = all.filter((one) => one.kind === 'resimulated')
  const refused = all.filter((one) => one.kind === 'not-resimulated')
  const open = reruns.find(({ runId }) => runId === chosen) ?? reruns[0]
  const key = record.lanes[result.laneId]?.key ?? 'A'
  const pieces = (result.series[result.main ?? -1]?.local?.pieces.length ?? 0) > 1
  const numbers = new Map(
    Object.values(record.runs)
      .filter((run) => run.laneId === result.laneId)
      .map((run, i) => [run.id, i + 1]),
  )
  const sentence = scatterSentence(reruns)
  return (
    <section className="lane-sheet rerun" aria-label="Re-simulated runs">
      <header className="lane-sheet-head">
        <h2>The measured run, rolled once more</h2>
        <p className="quiet">
          from the place and speed of its own first marks, with nothing but the values handed over
        </p>
      </header>
      {all.length === 0 && (
        <p className="damage">No run of this lane could be fitted, so there is none to roll again.</p>
      )}
      {[...new Set(refused.map(({ why }) => why))].map((why) => (
        <p key={why} className="damage">
          {why}
        </p>
      ))}
      {open && (
        <>
          {pieces && (
            <ChoiceRow
              label="resistance along the lane"
              value={along}
              choices={[
                { value: 'one-value', label: 'one value' },
                { value: 'piece-by-piece', label: 'piece by piece' },
              ]}
              onChange={setAlong}
            />
          )}
          <div className="rerun-columns">
            <Drawn rerun={open} lane={laneNumber(key)} of={`lane ${key} run ${numbers.get(open.runId) ?? ''}`} />
            <div>
              <RunsAgain reruns={reruns} numbers={numbers} open={open.runId} onOpen={setChosen} />
              {sentence !== null && <p>{sentence}</p>}
            </div>
          </div>
        </>
      )}
    </section>
  )
}

function Drawn({ rerun, lane, of }: { readonly rerun: Resimulation; readonly lane: number; readonly of: string }) {
  const figures = useMemo(
    () => ({ over: overFigure(rerun, { lane, of }), left: leftOverFigure(rerun, { lane, of }) }),
    [rerun, lane, of],
  )
  return (
    <div>
      <Plot figure={figures.over} height={240} />
      <Plot figure={figures.left} height={120} />
    </div>
  )
}

function RunsAgain({
  reruns,
  numbers,
  open,
  onOpen,
}: {
  readonly reruns: readonly Resimulation[]
  readonly numbers: ReadonlyMap<string, number>
  readonly open: string
  readonly onOpen: (runId: string) => void
}) {
  return (
    <div className="table-room">
      <table className="choose-table rerun-table">
        <caption className="only-read-aloud">Transit times, measured and re-simulated, run by run</caption>
        <thead>
          <tr>
            <th scope="col">run</th>
            <th scope="col" className="number">
              measured s
            </th>
            <th scope="col" className="number">
              re-simulated s
            </th>
            <th scope="col" className="number">
              difference
            </th>
            <th scope="col" className="number">
              off the marks, rms mm
            </th>
          </tr>
        </thead>
        <tbody>
          {reruns.map(({ runId, transit, rms_m }) => (
            <tr key={runId} className={runId === open ? 'chosen' : undefined}>
              <th scope="row">
                <button
                  type="button"
                  className="row-button"
                  aria-pressed={runId === open}
                  aria-label={`run ${numbers.get(runId)}: draw it`}
                  onClick={() => onOpen(runId)}
                >
                  {numbers.get(runId)}
                </button>
              </th>
              <td className="number">
                {transit ? <ValueU value={transit.measured.value} U={transit.measured.U} unit={units.s} /> : '–'}
              </td>
              <td className="number">
                {transit ? <ValueU value={transit.simulated.value} U={transit.simulated.U} unit={units.s} /> : '–'}
              </td>
              <td className="number">{transit ? percentOff(transit.ratio) : '–'}</td>
              <td className="number">{showPlain(1000 * rms_m, 2)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  )
}
