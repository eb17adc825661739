import { sha256 } from 'hash-wasm'
import { useEffect, useState } from 'react'
import type { LaneResult } from '../../../../workers/fit/results.ts'
import { stableJson, type SlowlaneRecord } from '../../../../workers/record/index.ts'
import { showPlain } from '../../../format/value.ts'
import { rowKey } from '../../results/row-key.ts'
import { Decisions } from './decisions.tsx'
import { Filmed } from './filmed.tsx'
import { LanePart } from './lane-part.tsx'
import { Method } from './method.tsx'
import { ResultsPart } from './results-part.tsx'
import { runningHeads } from './running-heads.ts'
import { SimulatorsPart } from './simulators-part.tsx'
import './report.css'

interface ReportOf {
  readonly record: SlowlaneRecord
  readonly results: readonly LaneResult[]
}

/** One document for paper: what was filmed and how, what came out, and by which method. */
export function Report({ record, results, working }: ReportOf & { readonly working: boolean }) {
  const [today] = useState(() => new Date().toISOString().slice(0, 10))
  const [drawing, setDrawing] = useState(0)
  const hash = useHash(record)
  const title = record.title === '' ? 'Untitled record' : record.title
  useEffect(
    () => runningHeads(title, `${today} · Slowlane ${__VERSION__} · record ${hash?.slice(0, 16) ?? ''}`),
    [title, today, hash],
  )
  const onDrawing = (change: 1 | -1) => setDrawing((n) => n + change)
  const ready = drawing === 0 && !working && hash !== null
  return (
    <div className="report-place">
      <div className="report-bar">
        <a href="#/handover">Back to Handover</a>
        <button type="button" className="button main" disabled={!ready} onClick={() => print()}>
          Print
        </button>
        <p className="quiet" role="status">
          {ready
            ? 'A4 or Letter, as the printer has it. “Save as PDF” in the print dialogue makes a file.'
            : 'Drawing the plots …'}
        </p>
      </div>
      <article className="report on-paper" aria-label="Report" data-ready={ready}>
        <header className="report-head">
          <p className="report-kind">Balls on lanes: speed, deceleration, rolling resistance</p>
          <h1>{title}</h1>
          <p>
            {today}. Every interval covers {showPlain(100 * record.settings.coverage)} %. A figure behind ± is the half
            width of its interval, rounded to two digits, unless a table says otherwise.
          </p>
          {record.note && <p className="report-note">{record.note}</p>}
        </header>
        <ResultsPart record={record} results={results} />
        <Filmed record={record} />
        {results.map((result) => (
          <LanePart key={rowKey(result)} record={record} result={result} onDrawing={onDrawing} />
        ))}
        <Decisions record={record} results={results} onDrawing={onDrawing} />
        <SimulatorsPart record={record} results={results} />
        <Method record={record} />
        <section>
          <h2>Versions and hashes</h2>
          <table className="report-table">
            <tbody>
              <tr>
                <th scope="row">Slowlane</th>
                <td>{__VERSION__}</td>
              </tr>
              <tr>
                <th scope="row">record</th>
                <td>
                  {record.id}, schema {record.schema}
                </td>
              </tr>
              <tr>
                <th scope="row">record, SHA-256</th>
                <td className="hash">{hash ?? '…'}</td>
              </tr>
              {Object.values(record.clips).map((clip) => (
                <tr key={clip.id}>
                  <th scope="row">{clip.name}, SHA-256</th>
                  <td className="hash">{clip.sha256 ?? 'not read yet: open the clip once'}</td>
                </tr>
              ))}
            </tbody>
          </table>
          <p>
            The record’s hash is that of record.slowlane.json as Handover saves it. From that file, with the same
            version, every figure here recomputes.
          </p>
        </section>
      </article>
    </div>
  )
}

/** SHA-256 of the record as its file; null while it is computed. */
function useHash(record: SlowlaneRecord): string | null {
  const [known, setKnown] = useState<{ readonly of: SlowlaneRecord; readonly hash: string } | null>(null)
  useEffect(() => {
    let gone = false
    void sha256(stableJson(record)).then((hash) => {
      if (!gone) setKnown({ of: record, hash })
    })
    return () => {
      gone = true
    }
  }, [record])
  return known?.of === record ? known.hash : null
}
