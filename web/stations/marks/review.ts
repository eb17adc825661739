import type { Run, SlowlaneRecord } from '../../../workers/record/index.ts'
import { sessionStore, setSession } from '../../record/session.ts'
import { commit, recordStore } from '../../record/store.ts'
import { markAt, removeMark } from './mark-columns.ts'
import { acceptMark, isUnsure, unsureFrames } from './run-edits.ts'

/** An unsure mark: whose it is and on which frame. */
export interface UnsureAt {
  readonly runId: string
  readonly frame: number
}

/** The runs of a clip in the order they happen. */
export function runsInOrder(record: SlowlaneRecord, clipId: string): Run[] {
  return Object.values(record.runs)
    .filter((run) => run.clipId === clipId)
    .sort((a, b) => (a.marks.frame[0] ?? 0) - (b.marks.frame[0] ?? 0))
}

/** Every unsure mark of a clip, run by run. Runs left out of the results need no look. */
export function unsureIn(record: SlowlaneRecord, clipId: string): UnsureAt[] {
  return runsInOrder(record, clipId)
    .filter((run) => !run.excluded)
    .flatMap((run) => unsureFrames(run).map((frame) => ({ runId: run.id, frame })))
}

/** The unsure mark after (or before) a place: those of the run at work first, then the following runs', beginning anew at the end. */
export function nextUnsure(
  record: SlowlaneRecord,
  clipId: string,
  from: { readonly runId: string | null; readonly frame: number },
  step: 1 | -1,
): UnsureAt | undefined {
  const all = unsureIn(record, clipId)
  const order = new Map(runsInOrder(record, clipId).map((run, i) => [run.id, i]))
  const here = from.runId === null ? -1 : (order.get(from.runId) ?? -1)
  const ahead = (at: UnsureAt): boolean => {
    const place = order.get(at.runId)!
    return step * (place - here) > 0 || (place === here && step * (at.frame - from.frame) > 0)
  }
  return step > 0 ? (all.find(ahead) ?? all[0]) : (all.findLast(ahead) ?? all.at(-1))
}

/** Shows the next (or the previous) unsure mark of the clip. False where there is none. */
export function toUnsure(step: 1 | -1 = 1): boolean {
  const { clipId, runId, frame } = sessionStore.getState()
  const { record } = recordStore.getState()
  if (clipId === null) return false
  const next = nextUnsure(record, clipId, { runId, frame }, step)
  const run = next && record.runs[next.runId]
  if (!next || !run) return false
  setSession({ runId: run.id, laneId: run.laneId, selected: null, frame: next.frame })
  return true
}

function unsureHere(): { run: Run; frame: number } | null {
  const { runId, frame } = sessionStore.getState()
  const run = runId === null ? undefined : recordStore.getState().record.runs[runId]
  const mark = run && markAt(run.marks, frame)
  return run && mark && isUnsure(mark.doubt) ? { run, frame } : null
}

/** The unsure mark on show is right: it is kept as it is, and the next one comes up. False where the mark on show is not unsure. */
export function acceptAndGoOn(): boolean {
  const here = unsureHere()
  if (!here) return false
  const done = commit(`accept the mark on frame ${here.frame}`, (draft) => {
    const held = draft.runs[here.run.id]
    if (held) acceptMark(held, here.frame)
  })
  if (done.kind === 'done') toUnsure()
  return true
}

/** The unsure mark on show is wrong: it goes, and the next one comes up. */
export function removeAndGoOn(): void {
  const here = unsureHere()
  if (!here) return
  const done = commit(`take away the mark on frame ${here.frame}`, (draft) => {
    const held = draft.runs[here.run.id]
    if (held) removeMark(held.marks, here.frame)
  })
  if (done.kind === 'done') toUnsure()
}
