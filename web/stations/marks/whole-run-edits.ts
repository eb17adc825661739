import type { Draft } from 'immer'
import type { Marks, Run, SlowlaneRecord } from '../../../workers/record/index.ts'
import { newId } from '../../record/new-id.ts'
import { mountingsOf } from '../lanes/slope-edits.ts'
import { markNumber, noMarks, placeOf, putMark, removeMark } from './mark-columns.ts'
import { accepted, isUnsure } from './run-edits.ts'

/** Marks `from` … `to` (excluded) of a run's columns. */
function slice(marks: Marks, from: number, to: number): Marks {
  const some = noMarks()
  for (let i = from; i < to; i++) putMark(some, markNumber(marks, i))
  return some
}

/** True where a cut before this frame leaves marks on both sides. */
export function canSplit(run: Run, frame: number): boolean {
  const { index } = placeOf(run.marks.frame, frame)
  return index > 0 && index < run.marks.frame.length
}

/** Cuts a run before a frame: its marks from there on become a run of their own, of the same lane and ball. What the whole passage told about turning
 *  holds for neither part and goes. Returns the new run's id; null where one side would be empty. */
export function splitRun(draft: Draft<SlowlaneRecord>, runId: string, frame: number): string | null {
  const run = draft.runs[runId]
  if (!run || !canSplit(run, frame)) return null
  const { index } = placeOf(run.marks.frame, frame)
  const id = newId('run-')
  const { spin: _, ...rest } = run
  draft.runs[id] = { ...rest, id, marks: slice(run.marks, index, run.marks.frame.length) }
  run.marks = slice(run.marks, 0, index)
  delete run.spin
  return id
}

/** True where the second run can be the first one's going on: along the first one's own way it begins where that ended, or further. */
function goesOn(first: Run, second: Run): boolean {
  const { x, y } = first.marks
  const end = { x: x.at(-1)!, y: y.at(-1)! }
  const way = { x: end.x - x[0]!, y: end.y - y[0]! }
  const length = Math.hypot(way.x, way.y)
  const on = { x: second.marks.x[0]! - end.x, y: second.marks.y[0]! - end.y }
  return length === 0 || on.x * way.x + on.y * way.y > -0.05 * length * length
}

/** The nearest runs that one run can be joined with: of the same lane, clip and direction, earlier or later in time, and one going on where the other ended. */
export function joinableWith(record: SlowlaneRecord, run: Run): { readonly before?: Run; readonly after?: Run } {
  const first = run.marks.frame[0]
  const last = run.marks.frame.at(-1)
  if (first === undefined || last === undefined) return {}
  let before: Run | undefined
  let after: Run | undefined
  for (const other of Object.values(record.runs)) {
    const same = other.laneId === run.laneId && other.clipId === run.clipId && other.direction === run.direction
    const start = other.marks.frame[0]
    const end = other.marks.frame.at(-1)
    if (!same || other.id === run.id || start === undefined || end === undefined) continue
    if (end < first && goesOn(other, run) && (!before || end > before.marks.frame.at(-1)!)) before = other
    if (start > last && goesOn(run, other) && (!after || start < after.marks.frame[0]!)) after = other
  }
  return { ...(before && { before }), ...(after && { after }) }
}

/** Puts the marks of the second run into the first and takes the second away. Two runs with a mark on the same frame are two balls: nothing happens. */
export function joinRuns(draft: Draft<SlowlaneRecord>, firstId: string, secondId: string): boolean {
  const first = draft.runs[firstId]
  const second = draft.runs[secondId]
  if (!first || !second || firstId === secondId) return false
  if (second.marks.frame.some((frame) => placeOf(first.marks.frame, frame).there)) return false
  for (let i = 0; i < second.marks.frame.length; i++) putMark(first.marks, markNumber(second.marks, i))
  delete first.spin
  delete draft.runs[secondId]
  return true
}

/** Gives a run to another lane, in that lane's latest mounting. False where the lane has none. */
export function moveRun(draft: Draft<SlowlaneRecord>, record: SlowlaneRecord, runId: string, laneId: string): boolean {
  const run = draft.runs[runId]
  const mounting = mountingsOf(record, laneId).at(-1)
  if (!run || !mounting || run.laneId === laneId) return false
  run.laneId = laneId
  run.mountingId = mounting.id
  return true
}

/** The ball went the other way along the line. A run on the level has no other way. */
export function reverseRun(draft: Draft<SlowlaneRecord>, runId: string): void {
  const run = draft.runs[runId]
  if (run?.direction === 'down') run.direction = 'up'
  else if (run?.direction === 'up') run.direction = 'down'
}

/** The person looked through the unsure marks of a run and found them right. */
export function acceptAll(draft: Draft<SlowlaneRecord>, runId: string): void {
  const run = draft.runs[runId]
  run?.marks.doubt.forEach((doubt, i) => {
    if (isUnsure(doubt)) run.marks.doubt[i] = accepted
  })
}

export function removeUnsure(draft: Draft<SlowlaneRecord>, runId: string): void {
  const run = draft.runs[runId]
  if (!run) return
  const frames = run.marks.frame.filter((_, i) => isUnsure(run.marks.doubt[i]!))
  for (const frame of frames) removeMark(run.marks, frame)
}
