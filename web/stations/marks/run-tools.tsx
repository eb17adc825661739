import type { Run } from '../../../workers/record/index.ts'
import { setSession, useSession } from '../../record/session.ts'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { byWhom, called, runNumber } from './run-edits.ts'
import { canSplit, joinableWith, joinRuns, reverseRun, splitRun } from './whole-run-edits.ts'

/** What can be done with a whole run: cut it, put two together, turn it round. Each is one undo. */
export function RunTools({ run }: { readonly run: Run }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const frame = useSession((s) => s.frame)
  const { found, byHand } = byWhom(run)
  const { before, after } = joinableWith(record, run)
  const join = (first: Run, second: Run) => {
    commit(`join ${called(record, second)} to run ${runNumber(record, first)}`, (draft) => {
      joinRuns(draft, first.id, second.id)
    })
    setSession({ runId: first.id, selected: null })
  }
  const first = run.marks.frame[0]
  const last = run.marks.frame.at(-1)
  return (
    <>
      <p className="small quiet">
        {[found > 0 ? `${found} marks found` : null, byHand > 0 ? `${byHand} by hand` : null]
          .filter((part) => part !== null)
          .join(', ')}
        {first !== undefined && last !== undefined && `, frames ${first} to ${last}`}.
      </p>
      <div className="button-row run-tools" role="group" aria-label="The whole run">
        <button
          type="button"
          className="button small-button"
          disabled={readOnly || !canSplit(run, frame)}
          onClick={() =>
            commit(`split ${called(record, run)} before frame ${frame}`, (draft) => {
              splitRun(draft, run.id, frame)
            })
          }
        >
          Split before frame {frame}
        </button>
        {before && (
          <button
            type="button"
            className="button small-button"
            disabled={readOnly}
            title={`Frames ${before.marks.frame[0]} to ${before.marks.frame.at(-1)}`}
            onClick={() => join(before, run)}
          >
            Join to run {runNumber(record, before)} before
          </button>
        )}
        {after && (
          <button
            type="button"
            className="button small-button"
            disabled={readOnly}
            title={`Frames ${after.marks.frame[0]} to ${after.marks.frame.at(-1)}`}
            onClick={() => join(run, after)}
          >
            Join run {runNumber(record, after)} after
          </button>
        )}
        <button
          type="button"
          className="button small-button"
          disabled={readOnly || run.direction === 'level'}
          onClick={() => commit(`reverse ${called(record, run)}`, (draft) => reverseRun(draft, run.id))}
        >
          Reverse
        </button>
      </div>
    </>
  )
}
