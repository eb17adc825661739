import { useCallback, useDeferredValue, useMemo, useState } from 'react'
import type { Clip, SlowlaneRecord, View } from '../../../workers/record/index.ts'
import { beginPlacing } from '../../picture/begin-placing.ts'
import { useCurrentClip } from '../../picture/current-clip.ts'
import { useFrames } from '../../picture/frame-store.ts'
import { laneStroke } from '../../picture/lane-stroke.ts'
import { usePicture } from '../../picture/picture-store.ts'
import { idleTool, type PictureHandle, type PictureTool } from '../../picture/overlay.ts'
import { Workplace } from '../../picture/workplace.tsx'
import { useSession } from '../../record/session.ts'
import { useRecord, useRecordState } from '../../record/store.ts'
import { useKeyActions } from '../../shell/keys.ts'
import { EmptyStation } from '../empty-station.tsx'
import { EveryNth } from './every-nth.tsx'
import { expectedPlace } from './expected-place.ts'
import { deleteMark, dragMark } from './marking.ts'
import { TurningPanel } from './turning-panel.tsx'
import { useLoupeThatGoesOn } from './use-loupe-that-goes-on.ts'
import { useMarking } from './use-marking.ts'
import { markAt } from './mark-columns.ts'
import { FindRuns } from './find-runs.tsx'
import { markKeys } from './mark-keys.ts'
import { marksOverlay } from './marks-overlay.ts'
import { RunAtAGlance } from './run-at-a-glance.tsx'
import { runNumber, type RunPlan } from './run-edits.ts'
import { RunList } from './run-list.tsx'
import { ReleasesPanel } from './releases-panel.tsx'
import { ReviewPanel } from './review-panel.tsx'
import { RunSheet } from './run-sheet.tsx'
import { RunTools } from './run-tools.tsx'
import { StartRun } from './start-run.tsx'
import { Streaks } from './streaks.tsx'
import './marks.css'

export function MarksPage() {
  const record = useRecord((r) => r)
  const { clip } = useCurrentClip()
  const view = clip ? record.views[clip.viewId] : undefined
  if (!clip || !view)
    return (
      <Workplace items={[]} tool={idleTool}>
        <EmptyStation needs="footage" />
      </Workplace>
    )
  return <MarksOf key={clip.id} clip={clip} view={view} record={record} />
}

function MarksOf({ clip, view, record }: { clip: Clip; view: View; record: SlowlaneRecord }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const frame = useSession((s) => s.frame)
  const runId = useSession((s) => s.runId)
  const [planned, setPlanned] = useState<RunPlan | null>(null)
  const [marking, setMarking] = useState(true)
  const planOver = useCallback(() => setPlanned(null), [])
  const shown = useFrames((s) => s.shown)
  const found = runId === null ? undefined : record.runs[runId]
  const run = planned === null && found?.clipId === clip.id ? found : undefined
  const laneId = planned?.laneId ?? run?.laneId
  const colour = laneId === undefined ? 'var(--accent)' : laneStroke(record, laneId).colour
  const mark = run ? markAt(run.marks, frame) : undefined
  const expected = useMemo(
    () => (run && !mark ? expectedPlace(run.marks, frame, view) : undefined),
    [run, mark, frame, view],
  )
  // What looks at the whole run follows a moment behind the picture, so that no key waits for it.
  const settled = useDeferredValue(record)
  const settledFrame = useDeferredValue(frame)
  const sightScale = usePicture((s) => s.sight.scale)
  const onShow = shown?.clipId === clip.id && shown.frame === frame

  const { place, said } = useMarking({
    clip,
    view,
    frame,
    run: run ?? null,
    planned,
    onShow,
    onPlaced: planOver,
  })
  const accept = useMemo(() => (expected ? () => void place(expected, 'expected') : null), [expected, place])
  const currentRun = run?.id ?? null
  useKeyActions(useMemo(() => markKeys({ runId: currentRun, accept }), [currentRun, accept]))

  const handles = useMemo(
    (): readonly PictureHandle[] =>
      mark && !readOnly
        ? [
            {
              id: `mark ${frame}`,
              at: { x: mark.x, y: mark.y },
              label: `mark on frame ${frame}`,
              colour,
              selected: true,
              found: mark.origin === 'found',
            },
          ]
        : [],
    [mark, frame, colour, readOnly],
  )
  const places = !readOnly && (planned !== null || (run !== undefined && marking))
  const begin = mark ? { x: mark.x, y: mark.y } : expected
  useLoupeThatGoesOn(frame, onShow, begin)
  const tool: PictureTool = {
    says: saysNow(planned !== null, run !== undefined && marking, mark !== undefined),
    handles,
    // Until the frame is on show there is nothing to press on; the loupe stays where it is meanwhile.
    place: places ? (at, { exact }) => void place(at, exact ? 'exact' : 'pressed') : undefined,
    begin,
    onDrop: (_, to) => run && dragMark(run.id, frame, to),
    onDelete: () => run && deleteMark(run.id, frame),
    onCancel: planned ? () => setPlanned(null) : marking && run ? () => setMarking(false) : undefined,
  }

  const items = useMemo(
    () => marksOverlay({ record, view, clipId: clip.id, frame, run: run ?? null, laneId, expected, scale: sightScale }),
    [record, view, clip.id, frame, run, laneId, expected, sightScale],
  )

  return (
    <Workplace
      items={items}
      tool={tool}
      colour={colour}
      rest={mark ? { x: mark.x, y: mark.y } : (expected ?? null)}
      under={<Streaks clip={clip} view={view} frame={frame} />}
    >
      <RunList clipId={clip.id} />
      <FindRuns clip={clip} view={view} ready={shown?.clipId === clip.id} />
      <p className={said ? 'damage' : 'only-read-aloud'} aria-live="polite">
        {said}
      </p>
      <ReviewPanel clip={clip} run={run} />
      {run ? (
        <>
          <section aria-labelledby="run-head">
            <h2 id="run-head">
              Run {runNumber(record, run)} of lane {record.lanes[run.laneId]?.key}
            </h2>
            <RunTools run={run} />
            <div className="button-row">
              <button
                type="button"
                className={marking ? 'button' : 'button main'}
                aria-pressed={marking}
                disabled={readOnly}
                onClick={(event) => {
                  setMarking(!marking)
                  if (!marking) beginPlacing(event, tool.begin)
                }}
              >
                {marking ? 'Marking by hand' : 'Mark by hand'}
              </button>
              <EveryNth />
            </div>
            <RunSheet run={run} />
          </section>
          <TurningPanel run={run} />
          <RunAtAGlance record={settled} runId={run.id} clip={clip} frame={settledFrame} colour={colour} />
        </>
      ) : (
        planned && <EveryNth />
      )}
      <StartRun
        clip={clip}
        planned={planned}
        onStart={(event, plan) => {
          setPlanned(plan)
          setMarking(true)
          beginPlacing(event)
        }}
        onGiveUp={() => setPlanned(null)}
      />
      <ReleasesPanel clip={clip} />
    </Workplace>
  )
}

function saysNow(planned: boolean, marking: boolean, marked: boolean): string {
  if (planned) return 'Go to the first frame of the passage and press on the ball’s centre.'
  if (!marking) return marked ? 'Drag the mark to correct it.' : ''
  return marked ? 'Drag the mark to correct it, or press where it should be.' : 'Press on the ball’s centre.'
}
