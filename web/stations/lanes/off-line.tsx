import { useMemo } from 'react'
import { offLine } from '../../../workers/measure/off-line.ts'
import type { View } from '../../../workers/record/index.ts'
import { showPlain } from '../../format/value.ts'
import { setSession } from '../../record/session.ts'
import { useRecord } from '../../record/store.ts'
import { goTo } from '../../shell/route.ts'

/** Marks far off the lane's line, pointed out where the line is drawn; a press shows the farthest. */
export function OffLine({ view, laneId }: { view: View; laneId: string }) {
  const record = useRecord((r) => r)
  const { marks, runs } = useMemo(() => offLine(record, view.id, laneId), [record, view.id, laneId])
  const farthest = marks[0]
  const run = runs[0]
  if (!farthest && !run) return null
  const show = (runId: string, frame: number | undefined) => {
    const held = record.runs[runId]
    if (!held) return
    setSession({ clipId: held.clipId, runId, frame: frame ?? held.marks.frame[0] ?? 0 })
    goTo('marks')
  }
  return (
    <div>
      {run && (
        <p className="damage">
          {runs.length === 1 ? 'One run lies' : `${runs.length} runs lie`} beside this line, up to{' '}
          {showPlain(1000 * Math.abs(run.off_m), 2)} mm off: more than half a ball. Draw the line through the ball’s
          centre, or give the run its own lane.{' '}
          <button type="button" className="link" onClick={() => show(run.runId, undefined)}>
            Show it
          </button>
        </p>
      )}
      {farthest && (
        <p className="damage">
          {marks.length === 1 ? 'One mark lies' : `${marks.length} marks lie`} far off this line; the farthest by{' '}
          {showPlain(1000 * Math.abs(farthest.off_m), 2)} mm, on frame {farthest.frame}. Correct it or take it out.{' '}
          <button type="button" className="link" onClick={() => show(farthest.runId, farthest.frame)}>
            Show it
          </button>
        </p>
      )}
    </div>
  )
}
