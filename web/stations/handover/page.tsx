import { useEffect, useMemo, useState, useSyncExternalStore } from 'react'
import { simulatorForms } from '../../../workers/handover/index.ts'
import type { LaneResult } from '../../../workers/fit/results.ts'
import { units } from '../../format/units.ts'
import { LaneChip } from '../../parts/lane-chip.tsx'
import { ValueU } from '../../parts/value-u.tsx'
import { useRecord } from '../../record/store.ts'
import { bookOf } from '../compare/compared.ts'
import { useResults, watchResults } from '../results/results-store.ts'
import { rowKey } from '../results/row-key.ts'
import { Files } from './files.tsx'
import { Friction } from './friction.tsx'
import { ImportPanel } from './import-panel.tsx'
import { Report } from './report/report.tsx'
import { Rerun } from './rerun.tsx'
import { countsText } from './shown-forms.ts'
import '../results/results.css'
import './handover.css'

const reportHash = '#/handover/report'

function onHash(changed: () => void): () => void {
  addEventListener('hashchange', changed)
  return () => removeEventListener('hashchange', changed)
}

export function HandoverPage() {
  useEffect(() => watchResults(() => undefined), [])
  const { results, working, failure } = useResults()
  const record = useRecord((r) => r)
  const reports = useSyncExternalStore(onHash, () => location.hash.startsWith(reportHash))
  // Results of a record a moment ago may name a lane that is gone.
  const here = useMemo(
    () => results?.filter(({ laneId, finishId }) => record.lanes[laneId] && record.finishes[finishId]),
    [record, results],
  )
  if (failure !== null && !here) return <p className="damage page-sheet">{failure}</p>
  if (!here) return <p className="page-sheet quiet">Working out the results …</p>
  if (reports) return <Report record={record} results={here} working={working} />
  return (
    <div className="results-page handover-page" aria-busy={working}>
      {failure !== null && <p className="damage">{failure}</p>}
      {here.length === 0 ? <NothingYet /> : <ByLane results={here} />}
      <div className="handover-two">
        <Files results={here} working={working} />
        <ImportPanel />
      </div>
    </div>
  )
}

function ByLane({ results }: { readonly results: readonly LaneResult[] }) {
  const record = useRecord((r) => r)
  const [chosen, setChosen] = useState<string | null>(null)
  const [heading_rad, setHeading] = useState(0)
  const forms = useMemo(
    () => new Map(results.map((r) => [rowKey(r), simulatorForms(record, bookOf(record), r, { heading_rad })])),
    [record, results, heading_rad],
  )
  const open = results.find((result) => rowKey(result) === chosen) ?? results.find(({ crr }) => crr) ?? results[0]!
  const handover = forms.get(rowKey(open))!
  return (
    <>
      <div className="table-room">
        <table className="choose-table handover-lanes">
          <caption className="only-read-aloud">Lanes and finishes; one is chosen for what follows</caption>
          <thead>
            <tr>
              <th scope="col">lane</th>
              <th scope="col">finish</th>
              <th scope="col" className="number">
                C<sub>rr</sub>
              </th>
              <th scope="col">ball and guide</th>
              <th scope="col">ways to hand its friction over</th>
            </tr>
          </thead>
          <tbody>
            {results.map((result) => {
              const own = forms.get(rowKey(result))!
              const lane = record.lanes[result.laneId]?.key ?? '?'
              const finish = record.finishes[result.finishId]?.name ?? ''
              const is = result === open
              return (
                <tr key={rowKey(result)} className={is ? 'chosen' : undefined}>
                  <th scope="row">
                    <button
                      type="button"
                      className="row-button"
                      aria-pressed={is}
                      aria-label={`lane ${lane}, ${finish}: hand it over`}
                      onClick={() => setChosen(rowKey(result))}
                    >
                      <LaneChip laneId={result.laneId} />
                    </button>
                  </th>
                  <td>{finish}</td>
                  <td className="number">
                    {result.crr ? <ValueU value={result.crr.value} U={result.crr.U} unit={units.one} strong /> : '–'}
                  </td>
                  <td className="quiet">{`${own.friction.ball}, ${own.friction.guide}`}</td>
                  <td>{countsText(own.forms)}</td>
                </tr>
              )
            })}
          </tbody>
        </table>
      </div>
      <Friction key={`forms ${rowKey(open)}`} handover={handover} heading_rad={heading_rad} onHeading={setHeading} />
      <Rerun key={`rerun ${rowKey(open)}`} result={open} />
    </>
  )
}

function NothingYet() {
  return (
    <section className="page-sheet no-results">
      <svg viewBox="0 0 320 90" width="320" height="90" aria-hidden="true">
        <path d="M8 20 L312 74" className="faint" />
        <path d="M40 14 a10 10 0 1 0 .1 0 M170 37 a10 10 0 1 0 .1 0" className="faint bar" />
      </svg>
      <p>Here each lane’s friction stands ready for simulators, with the run rolled once more over the marks.</p>
      <p>
        It needs a run of at least four frames: <a href="#/marks">mark one</a>, or import marks from a table below.
      </p>
    </section>
  )
}
