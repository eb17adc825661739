import { memo, useDeferredValue } from 'react'
import type { Run, SlowlaneRecord } from '../../../workers/record/index.ts'
import { Flag } from '../../parts/flag.tsx'
import { LaneChip } from '../../parts/lane-chip.tsx'
import { setSession, useSession } from '../../record/session.ts'
import { useRecord } from '../../record/store.ts'
import { runNumber, unsureFrames } from './run-edits.ts'

/** The runs in this clip, in the order they happen. */
export function RunList({ clipId }: { readonly clipId: string }) {
  const record = useDeferredValue(useRecord((r) => r))
  return <Runs record={record} clipId={clipId} current={useSession((s) => s.runId)} />
}

interface RunsProps {
  readonly record: SlowlaneRecord
  readonly clipId: string
  readonly current: string | null
}

const Runs = memo(function Runs({ record, clipId, current }: RunsProps) {
  const all = Object.values(record.runs)
  const here = all
    .filter((run) => run.clipId === clipId)
    .sort((a, b) => (a.marks.frame[0] ?? 0) - (b.marks.frame[0] ?? 0))
  const elsewhere = all.length - here.length
  return (
    <section aria-labelledby="runs-head">
      <h2 id="runs-head">Runs</h2>
      {here.length === 0 ? (
        <p className="quiet">No run is marked in this clip yet.</p>
      ) : (
        <table className="choose-table">
          <thead>
            <tr>
              <th scope="col">lane</th>
              <th scope="col">run</th>
              <th scope="col" className="number">
                marks
              </th>
              <th scope="col">
                <span className="only-read-aloud">to know</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {here.map((run) => (
              <tr key={run.id} className={run.id === current ? 'chosen' : undefined}>
                <td>
                  <LaneChip laneId={run.laneId} />
                </td>
                <td>
                  <button
                    type="button"
                    className="row-button"
                    aria-pressed={run.id === current}
                    onClick={() => showRun(run)}
                  >
                    {runNumber(record, run)}, {record.finishes[run.finishId]?.name}
                    {run.direction === 'up' && ', uphill'}
                  </button>
                </td>
                <td className="number">{run.marks.frame.length}</td>
                <td className="number">
                  <RunFlag run={run} />
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {elsewhere > 0 && (
        <p className="small quiet">
          {elsewhere} {elsewhere === 1 ? 'run is' : 'runs are'} in other clips; choose a clip under the picture.
        </p>
      )}
    </section>
  )
})

function RunFlag({ run }: { run: Run }) {
  const unsure = unsureFrames(run).length
  if (run.excluded) return <span className="small quiet">left out</span>
  if (unsure > 0) return <Flag>{unsure} unsure</Flag>
  if (run.marks.frame.length < 4) return <Flag>{4 - run.marks.frame.length} more needed</Flag>
  return null
}

/** A run becomes the current one and its first mark comes up. */
function showRun(run: Run): void {
  const first = run.marks.frame[0]
  setSession({ runId: run.id, laneId: run.laneId, selected: null, ...(first === undefined ? {} : { frame: first }) })
}
