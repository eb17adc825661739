import { useMemo } from 'react'
import { flagSentence } from '../../../../workers/fit/sentences.ts'
import type { LaneResult, SeriesResult } from '../../../../workers/fit/results.ts'
import type { SlowlaneRecord } from '../../../../workers/record/index.ts'
import { units } from '../../../format/units.ts'
import { LaneChip } from '../../../parts/lane-chip.tsx'
import { ValueU } from '../../../parts/value-u.tsx'
import { laneNumber } from '../../../picture/lane-stroke.ts'
import { BudgetBars } from '../../results/budget-bars.tsx'
import { localFigure } from '../../results/local-figure.ts'
import { positionFigure, residualFigure, speedFigure } from '../../results/motion-figures.ts'
import { PrintedPlot, type OnDrawing } from './printed-plot.tsx'

interface LaneOf {
  readonly record: SlowlaneRecord
  readonly result: LaneResult
}

/** One lane and finish in full: plots, runs, what its uncertainty is made of, remarks. */
export function LanePart({ record, result, onDrawing }: LaneOf & { readonly onDrawing: OnDrawing }) {
  const main = result.main === null ? null : (result.series[result.main] ?? null)
  if (!main) return null
  const finish = record.finishes[result.finishId]?.name ?? ''
  const key = record.lanes[result.laneId]?.key ?? 'A'
  const remarks = [...new Set(result.flags.map((flag) => flagSentence(record, flag)))]
  return (
    <section className="report-lane">
      <h2>
        <LaneChip laneId={result.laneId} /> {finish}
      </h2>
      <p>
        {record.balls[main.ballId]?.name}
        {main.rollingRadius && (
          <>
            , rolling radius{' '}
            <ValueU value={main.rollingRadius.value} U={main.rollingRadius.U} unit={units.mm} withUnit />
          </>
        )}
        {main.inertiaFactor && (
          <>
            , inertia factor <ValueU value={main.inertiaFactor.value} U={main.inertiaFactor.U} unit={units.one} />
          </>
        )}
        {main.slope && (
          <>
            , slope <ValueU value={main.slope.value} U={main.slope.U} unit={units.deg} withUnit />
          </>
        )}
        {main.entry && main.exit && (
          <>
            ; entry at {Math.round(1000 * main.entry.at_m)} mm, exit at {Math.round(1000 * main.exit.at_m)} mm
          </>
        )}
        .
      </p>
      <Plots series={main} lane={laneNumber(key)} of={`lane ${key} ${finish}`} onDrawing={onDrawing} />
      <div className="report-columns">
        <Runs result={result} />
        {result.crr && <BudgetBars rows={result.budget} U={result.crr.U} />}
      </div>
      {remarks.length > 0 && (
        <ul>
          {remarks.map((remark) => (
            <li key={remark}>{remark}</li>
          ))}
        </ul>
      )}
    </section>
  )
}

function Plots({
  series,
  lane,
  of,
  onDrawing,
}: {
  readonly series: SeriesResult
  readonly lane: number
  readonly of: string
  readonly onDrawing: OnDrawing
}) {
  const figures = useMemo(() => {
    const look = { lane, of }
    const local = localFigure(series, look)
    return [
      positionFigure(series, look),
      speedFigure(series, look),
      residualFigure(series, look),
      ...(local ? [local] : []),
    ]
  }, [series, lane, of])
  return (
    <div className="printed-plots">
      {figures.map((figure) => (
        <PrintedPlot key={figure.name} figure={figure} onDrawing={onDrawing} />
      ))}
    </div>
  )
}

function Runs({ result }: { readonly result: LaneResult }) {
  return (
    <table className="report-table">
      <caption>runs</caption>
      <thead>
        <tr>
          <th scope="col">run</th>
          <th scope="col" className="number">
            marks
          </th>
          <th scope="col" className="number">
            exit m/s
          </th>
          <th scope="col" className="number">
            acceleration m/s²
          </th>
          <th scope="col" className="number">
            time s
          </th>
        </tr>
      </thead>
      <tbody>
        {result.series.flatMap((series) =>
          series.runs.map((run, i) => (
            <tr key={run.runId}>
              <th scope="row">
                {i + 1}
                {series.direction === 'down' ? '' : ` ${series.direction}`}
              </th>
              <td className="number">{run.marks}</td>
              <td className="number">
                {run.exit ? <ValueU value={run.exit.value} U={run.exit.U} unit={units.m_s} /> : '–'}
              </td>
              <td className="number">
                <ValueU value={run.acceleration.value} U={run.acceleration.U} unit={units.m_s2} />
              </td>
              <td className="number">
                {run.transit ? <ValueU value={run.transit.value} U={run.transit.U} unit={units.s} /> : '–'}
              </td>
            </tr>
          )),
        )}
      </tbody>
    </table>
  )
}
