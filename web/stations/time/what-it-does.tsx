import { useMemo } from 'react'
import { sentenceForInvented } from '../../../workers/measure/note-sentences.ts'
import { rateReport, type RateReport } from '../../../workers/measure/rate-report.ts'
import { sentenceFor } from '../../../workers/measure/sentences.ts'
import { timeRuleOf } from '../../../workers/measure/time-of.ts'
import { noDeviations, type Clip } from '../../../workers/record/index.ts'
import { showPlain, showValue } from '../../format/value.ts'
import { useRecord, useRecordState } from '../../record/store.ts'
import { checkFrames, useFrameCheck } from '../footage/frame-check.ts'
import { InventedFrames } from '../footage/invented-frames.tsx'
import { rowsOfPieces } from './piece-rows.ts'

/** Seconds per frame ±, and what the ± does to every speed and acceleration. */
export function WhatItDoes({ clip }: { clip: Clip }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const check = useFrameCheck(clip)
  const report = useMemo(() => rateReport(record, clip.id), [record, clip.id])
  const rule = useMemo(() => timeRuleOf(record, clip, noDeviations), [record, clip])
  if (report.kind === 'frames-invented')
    return (
      <section aria-labelledby="seconds-head">
        <h2 id="seconds-head">What that gives</h2>
        <p className="damage">Nothing that can be trusted.</p>
        <InventedFrames clip={clip} />
      </section>
    )
  if (report.kind !== 'rate-report' || rule.kind !== 'time-rule') {
    const problem = report.kind === 'rate-report' ? rule : report
    return problem.kind === 'time-unset' ? (
      <p className="quiet">
        The file plays at {showPlain(clip.fileRate_hz, 5)} frames per second. A camera in slow motion films faster than
        the file plays; only you, or a tag in the file, know how fast.
      </p>
    ) : problem.kind === 'time-rule' ? null : (
      <p className="damage">{sentenceFor(problem)}</p>
    )
  }
  return (
    <section aria-labelledby="seconds-head">
      <h2 id="seconds-head">What that gives</h2>
      {report.pieces.length > 0 ? <ByPiece clip={clip} report={report} /> : <OneRate clip={clip} report={report} />}
      {rule.u_s > 0 && (
        <p className="small quiet">
          Its timestamps are rounded to {showPlain(1000 * clip.timestampStep_s, 3)} ms of the file’s time, so each place
          counts as unsure by the way a ball goes in {showPlain(1000 * rule.u_s, 2)} ms; that is in every ±. With frames
          spaced evenly by their number it falls away.
        </p>
      )}
      {!check && clip.repeated === undefined && clip.filmedFrames === undefined && (
        <p className="small quiet">
          Phones may invent frames between filmed ones, and then no rate is right.{' '}
          <button type="button" className="link" disabled={readOnly} onClick={() => void checkFrames(clip)}>
            Look at every frame
          </button>
        </p>
      )}
      {check && check.reading.kind !== 'invented' && (
        <p className="small quiet">{sentenceForInvented(check.reading)}</p>
      )}
      <p className="small quiet">± here covers 95 %, from the time alone.</p>
    </section>
  )
}

function OneRate({ clip, report }: { clip: Clip; report: RateReport }) {
  return (
    <dl className="facts">
      <div>
        <dt>one frame lasts</dt>
        <dd>{showValue(1000 * report.secondsPerFrame, 2000 * report.u_s, 'ms').text}</dd>
      </div>
      <div>
        <dt>the clip lasts</dt>
        <dd>{showPlain(report.secondsPerFrame * (clip.frames - 1), 4)} s</dd>
      </div>
      <div>
        <dt>speeds v are sure to</dt>
        <dd>± {showPlain(2 * report.speedEffect_percent, 2)} %</dd>
      </div>
      <div>
        <dt>accelerations a to</dt>
        <dd>± {showPlain(2 * report.accelerationEffect_percent, 2)} %</dd>
      </div>
    </dl>
  )
}

function ByPiece({ clip, report }: { clip: Clip; report: RateReport }) {
  return (
    <div className="table-scroll">
      <table className="piece-table">
        <thead>
          <tr>
            <th scope="col">frames</th>
            <th scope="col" className="number">
              one frame, ms
            </th>
            <th scope="col" className="number">
              v, %
            </th>
            <th scope="col" className="number">
              a, %
            </th>
          </tr>
        </thead>
        <tbody>
          {rowsOfPieces(report, clip.frames).map((row) => (
            <tr key={row.first}>
              <th scope="row">
                {row.first} … {row.last}
              </th>
              <td className="number">{showValue(1000 * row.secondsPerFrame, 2000 * row.u_s).text}</td>
              <td className="number">± {showPlain(row.speed_percent, 2)}</td>
              <td className="number">± {showPlain(row.acceleration_percent, 2)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  )
}
