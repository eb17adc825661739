import { problemSentence } from '../../../../workers/fit/sentences.ts'
import type { LaneResult } from '../../../../workers/fit/results.ts'
import type { SlowlaneRecord } from '../../../../workers/record/index.ts'
import { units } from '../../../format/units.ts'
import { commonScale, IntervalBar } from '../../../parts/interval-bar.tsx'
import { LaneChip } from '../../../parts/lane-chip.tsx'
import { ValueU } from '../../../parts/value-u.tsx'
import { rowKey } from '../../results/row-key.ts'

/** All lanes and finishes on one common scale. */
export function ResultsPart({
  record,
  results,
}: {
  readonly record: SlowlaneRecord
  readonly results: readonly LaneResult[]
}) {
  const scale = commonScale(results.flatMap((result) => (result.crr ? [result.crr.interval] : [])))
  if (results.length === 0)
    return (
      <section>
        <h2>Results</h2>
        <p>No run of at least four marks: there is nothing to compute from.</p>
      </section>
    )
  return (
    <section>
      <h2>Results</h2>
      <table className="report-table">
        <thead>
          <tr>
            <th scope="col">lane</th>
            <th scope="col">finish</th>
            <th scope="col" className="number">
              runs
            </th>
            <th scope="col" className="number">
              entry m/s
            </th>
            <th scope="col" className="number">
              exit m/s
            </th>
            <th scope="col" className="number">
              acceleration m/s²
            </th>
            <th scope="col" className="number">
              time on the lane s
            </th>
            <th scope="col" className="number">
              C<sub>rr</sub>
            </th>
            <th scope="col">on one scale</th>
          </tr>
        </thead>
        <tbody>
          {results.map((result) => {
            const main = result.main === null ? null : result.series[result.main]
            return (
              <tr key={rowKey(result)}>
                <th scope="row">
                  <LaneChip laneId={result.laneId} />
                </th>
                <td>{record.finishes[result.finishId]?.name}</td>
                <td className="number">{result.series.reduce((sum, { runs }) => sum + runs.length, 0)}</td>
                <Cell of={main?.entry?.filmed} unit={units.m_s} />
                <Cell of={main?.exit?.filmed} unit={units.m_s} />
                <Cell of={main?.acceleration} unit={units.m_s2} />
                <Cell of={main?.transit} unit={units.s} />
                <Cell of={result.crr} unit={units.one} strong />
                <td>
                  {result.crr && (
                    <IntervalBar
                      value={result.crr.value}
                      interval={result.crr.interval}
                      scale={scale}
                      laneId={result.laneId}
                      label="interval of C_rr"
                    />
                  )}
                </td>
              </tr>
            )
          })}
        </tbody>
      </table>
      {results.flatMap((result) =>
        result.problems.map((problem, i) => (
          <p key={`${rowKey(result)} ${i}`}>
            Lane {record.lanes[result.laneId]?.key}, {record.finishes[result.finishId]?.name}:{' '}
            {problemSentence(record, problem)}
          </p>
        )),
      )}
    </section>
  )
}

function Cell({
  of,
  unit,
  strong = false,
}: {
  readonly of: { readonly value: number; readonly U: number } | null | undefined
  readonly unit: (typeof units)[keyof typeof units]
  readonly strong?: boolean
}) {
  return <td className="number">{of ? <ValueU value={of.value} U={of.U} unit={unit} strong={strong} /> : '–'}</td>
}
