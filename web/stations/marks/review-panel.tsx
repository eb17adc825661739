import { doubtCodes, type Clip, type Run } from '../../../workers/record/index.ts'
import { useSession } from '../../record/session.ts'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { markAt } from './mark-columns.ts'
import { acceptAndGoOn, removeAndGoOn, toUnsure, unsureIn } from './review.ts'
import { called, doubtWords, isUnsure, unsureFrames } from './run-edits.ts'
import { acceptAll, removeUnsure } from './whole-run-edits.ts'

/** Looking through what the tool was unsure of, mark by mark: keep, correct, take away. */
export function ReviewPanel({ clip, run }: { readonly clip: Clip; readonly run: Run | undefined }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const frame = useSession((s) => s.frame)
  const all = unsureIn(record, clip.id)
  if (all.length === 0) return null
  const mark = run && markAt(run.marks, frame)
  const unsure = mark !== undefined && isUnsure(mark.doubt)
  const here = run && !run.excluded ? unsureFrames(run).length : 0
  const place = all.findIndex((at) => at.runId === run?.id && at.frame === frame)
  return (
    <section className="review" aria-labelledby="review-head">
      <h2 id="review-head">Review</h2>
      <p aria-live="polite">
        {unsure && place >= 0 ? (
          <>
            Unsure mark {place + 1} of {all.length}: {doubtWords[doubtCodes[mark.doubt] ?? 'misfit']}.
          </>
        ) : (
          <>
            {all.length} {all.length === 1 ? 'mark is' : 'marks are'} unsure in this clip
            {run && here > 0 && here < all.length && <>, {here} of them in this run</>}.
          </>
        )}
      </p>
      <div className="button-row">
        <button type="button" className={unsure ? 'button' : 'button main'} onClick={() => toUnsure()}>
          {unsure ? 'Next' : 'Step through them'} <kbd>n</kbd>
        </button>
        {unsure && (
          <>
            <button type="button" className="button main" disabled={readOnly} onClick={() => acceptAndGoOn()}>
              It is right <kbd>y</kbd>
            </button>
            <button type="button" className="button" disabled={readOnly} onClick={removeAndGoOn}>
              Take away <kbd>Del</kbd>
            </button>
          </>
        )}
      </div>
      {unsure && <p className="small quiet">Or drag the mark, or press where the ball’s centre is.</p>}
      {run && here > 1 && (
        <div className="button-row" role="group" aria-label="All unsure marks of this run">
          <button
            type="button"
            className="button small-button"
            disabled={readOnly}
            onClick={() =>
              commit(`accept ${here} unsure marks of ${called(record, run)}`, (draft) => acceptAll(draft, run.id))
            }
          >
            All {here} of this run are right
          </button>
          <button
            type="button"
            className="button small-button"
            disabled={readOnly}
            onClick={() =>
              commit(`take away ${here} unsure marks of ${called(record, run)}`, (draft) => removeUnsure(draft, run.id))
            }
          >
            Take all {here} away
          </button>
        </div>
      )}
    </section>
  )
}
