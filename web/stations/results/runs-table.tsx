import type { LaneResult } from '../../../workers/fit/results.ts'
import { units } from '../../format/units.ts'
import { ValueU } from '../../parts/value-u.tsx'
import { setSession } from '../../record/session.ts'
import { useRecord } from '../../record/store.ts'

/** Every run of a lane and finish by itself; its number leads to its marks. */
export function RunsTable({ result }: { readonly result: LaneResult }) {
  const record = useRecord((r) => r)
  const numbers = new Map(
    Object.values(record.runs)
      .filter((run) => run.laneId === result.laneId)
      .map((run, i) => [run.id, i + 1]),
  )
  return (
    <div className="table-room">
      <table>
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
              transit s
            </th>
          </tr>
        </thead>
        <tbody>
          {result.series.flatMap((series) =>
            series.runs.map((run) => (
              <tr key={run.runId}>
                <th scope="row">
                  <a
                    href="#/marks"
                    onClick={() =>
                      setSession({
                        runId: run.runId,
                        laneId: result.laneId,
                        clipId: record.runs[run.runId]?.clipId ?? null,
                        frame: record.runs[run.runId]?.marks.frame[0] ?? 0,
                      })
                    }
                  >
                    {numbers.get(run.runId)}
                    {series.direction === 'up' && ' up'}
                  </a>
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
    </div>
  )
}
