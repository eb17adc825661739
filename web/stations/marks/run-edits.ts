import { isDraft, type Draft } from 'immer'
import { doubtCodes, type Doubt, type Run, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { newId } from '../../record/new-id.ts'
import { perRecord } from '../per-record.ts'
import { noMarks, putMark, type Mark } from './mark-columns.ts'

/** What a run is of, before its first mark stands. */
export type RunPlan = Pick<Run, 'laneId' | 'mountingId' | 'viewId' | 'clipId' | 'finishId' | 'ballId' | 'direction'>

/** A run comes into the record with its first mark. Returns its id. */
export function startRun(draft: Draft<SlowlaneRecord>, plan: RunPlan, first: Mark): string {
  const id = newId('run-')
  const run: Draft<Run> = { id, ...plan, marks: noMarks() }
  putMark(run.marks, first)
  draft.runs[id] = run
  return id
}

/** Number of a run among those of its lane and finish, as they were made: what lists call it. */
export function runNumber(record: SlowlaneRecord, run: Run): number {
  return (isDraft(record) ? numbersOf(record) : numbersOnce(record)).get(run.id) ?? 0
}

/** Numbers of all runs by id, counted within each lane and finish. */
function numbersOf(record: SlowlaneRecord): ReadonlyMap<string, number> {
  const start = (run: Run) => record.clips[run.clipId]?.addedAt ?? ''
  const order = Object.values(record.runs)
    .map((run) => ({ run, at: start(run), frame: run.marks.frame[0] ?? 0 }))
    .sort((a, b) => (a.at === b.at ? a.frame - b.frame : a.at < b.at ? -1 : 1))
  const counts = new Map<string, number>()
  return new Map(
    order.map(({ run }) => {
      const like = `${run.laneId} ${run.finishId}`
      const number = (counts.get(like) ?? 0) + 1
      counts.set(like, number)
      return [run.id, number]
    }),
  )
}

/** Lists ask for the number of every run, and each change and step draws them anew. */
const numbersOnce = perRecord(numbersOf)

export const accepted = doubtCodes.indexOf('accepted')

/** A doubt that nobody has settled yet. */
export const isUnsure = (doubt: number): boolean => doubt > 0 && doubt !== accepted

export function unsureFrames(run: Run): readonly number[] {
  if (isDraft(run)) return unsureOf(run.marks)
  let frames = seen.get(run.marks)
  if (!frames) seen.set(run.marks, (frames = unsureOf(run.marks)))
  return frames
}

const unsureOf = ({ frame, doubt }: Run['marks']): readonly number[] => frame.filter((_, i) => isUnsure(doubt[i]!))

/** Asked of every run at every change and step, and a large record has a hundred thousand marks. Marks that stand in the record never change in place. */
const seen = new WeakMap<Run['marks'], readonly number[]>()

/** The person looked and found the mark right. */
export function acceptMark(run: Draft<Run>, frame: number): void {
  const i = run.marks.frame.indexOf(frame)
  if (i >= 0 && isUnsure(run.marks.doubt[i]!)) run.marks.doubt[i] = accepted
}

/** How many marks of a run come from whom: what the tool found (nudged ones included), and the rest. */
export function byWhom(run: Run): { readonly found: number; readonly byHand: number } {
  const found = run.marks.origin.filter((origin) => origin === 'found' || origin === 'nudged').length
  return { found, byHand: run.marks.origin.length - found }
}

export const called = (record: SlowlaneRecord, run: Run): string =>
  `run ${runNumber(record, run)} of lane ${record.lanes[run.laneId]?.key ?? ''}`

export const doubtWords: Readonly<Record<Doubt, string>> = {
  sure: 'sure',
  'partly-hidden': 'partly hidden',
  'one-edge': 'one edge only, about three times less sure',
  'near-another-ball': 'another ball is too close',
  'repeated-frame': 'this frame repeats the one before: not used',
  blurred: 'smeared by motion',
  'low-contrast': 'ball and background equally bright',
  'off-line': 'off the lane line',
  misfit: 'the outline does not fit well',
  accepted: 'looked at and accepted',
}

export const originWords: Readonly<Record<Run['marks']['origin'][number], string>> = {
  hand: 'by hand',
  settled: 'by hand, settled on the outline',
  found: 'found',
  nudged: 'found, then nudged',
  imported: 'imported',
}
