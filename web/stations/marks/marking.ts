import type { Clip, Px, Run } from '../../../workers/record/index.ts'
import { ticksAt } from '../../picture/clip-time.ts'
import { openClipOf } from '../../picture/current-clip.ts'
import { showFrame } from '../../picture/frame-keys.ts'
import { sessionStore, setSession } from '../../record/session.ts'
import { commit, recordStore } from '../../record/store.ts'
import { moveMark, placeOf, putMark, removeMark, type Mark } from './mark-columns.ts'
import { startRun, type RunPlan } from './run-edits.ts'

interface Placing {
  readonly clip: Clip
  readonly frame: number
  readonly at: Px
  readonly run: Run | null
  /** A run that begins with this mark. */
  readonly planned: RunPlan | null
  /** σ along the lane where the outline told it; null: placed by hand. */
  readonly settled_px: number | null
}

/** Puts a mark on a frame and goes on by the chosen number of frames. Returns the run's id; null when nothing could be written. */
export function placeMark({ clip, frame, at, run, planned, settled_px }: Placing): string | null {
  const { click_px } = recordStore.getState().record.settings
  const ticks = ticksAt(clip, openClipOf(clip.id)?.facts.ticks ?? null, frame)
  const mark: Mark = {
    frame,
    ticks,
    x: at.x,
    y: at.y,
    sigma: settled_px ?? click_px,
    origin: settled_px === null ? 'hand' : 'settled',
    doubt: 0,
  }
  let id = run?.id ?? null
  const outcome = commit(planned ? 'start a run' : markName(run, frame), (draft) => {
    if (planned) id = startRun(draft, planned, mark)
    else if (id !== null && draft.runs[id]) putMark(draft.runs[id]!.marks, mark)
  })
  if (outcome.kind === 'read-only' || id === null) return null
  setSession({ runId: id, laneId: planned?.laneId ?? run?.laneId ?? null })
  const last = clip.trim?.last ?? clip.frames - 1
  showFrame(Math.min(last, frame + sessionStore.getState().everyNth))
  return id
}

const markName = (run: Run | null, frame: number): string =>
  run && placeOf(run.marks.frame, frame).there ? `place the mark on frame ${frame} anew` : `mark frame ${frame}`

export function dragMark(runId: string, frame: number, to: Px): void {
  commit(`move the mark on frame ${frame}`, (draft) => {
    const run = draft.runs[runId]
    if (run) moveMark(run.marks, frame, to, draft.settings.click_px)
  })
}

export function deleteMark(runId: string, frame: number): void {
  commit(`take away the mark on frame ${frame}`, (draft) => {
    const run = draft.runs[runId]
    if (run) removeMark(run.marks, frame)
  })
}
