import type { Draft } from 'immer'
import type { JobResult } from '../../../workers/bridge/decode-client.ts'
import type { Clip, Marks, Run, SlowlaneRecord } from '../../../workers/record/index.ts'
import { newId } from '../../record/new-id.ts'
import { chosenStore, nextRun } from '../lanes/next-run.ts'
import { spinOf } from './turning.ts'

/** A passage as the decode thread found it. */
export type FoundRun = NonNullable<Extract<JobResult<'follow-run'>, { readonly says: string }>['run']>

/** Fewer marks than this make no run that could be fitted. */
const fewestMarks = 4

const thousandth = (x: number): number => Math.round(x * 1000) / 1000

export function marksOf(found: FoundRun, ticks: (frame: number) => number): Marks {
  const frame = [...found.frames]
  return {
    frame,
    ticks: frame.map(ticks),
    x: Array.from(found.x, thousandth),
    y: Array.from(found.y, thousandth),
    sigma: Array.from(found.sigma, (s) => Math.max(0.001, thousandth(s))),
    origin: frame.map(() => 'found'),
    doubt: [...found.doubtCode],
  }
}

/** True when a run of the record already marks this passage: on most of the frames both have, they are at the same place. */
export function alreadyMarked(runs: readonly Run[], marks: Marks, radius_px: number): boolean {
  return runs.some((run) => {
    const at = new Map(run.marks.frame.map((frame, i) => [frame, i]))
    let common = 0
    let same = 0
    for (const [i, frame] of marks.frame.entries()) {
      const j = at.get(frame)
      if (j === undefined) continue
      common += 1
      if (Math.hypot(run.marks.x[j]! - marks.x[i]!, run.marks.y[j]! - marks.y[i]!) < radius_px) same += 1
    }
    return common > 0 && same > 0.5 * common
  })
}

export interface Taken {
  readonly added: readonly string[]
  readonly known: number
  readonly short: number
  /** Lanes whose runs could not be taken: no slope entry, ball or finish to name. */
  readonly unnamed: readonly string[]
}

/** Puts found passages into the record as runs of the lane's present mounting, with the ball and finish that the next run would have. */
export function addFoundRuns(
  draft: Draft<SlowlaneRecord>,
  record: SlowlaneRecord,
  clip: Clip,
  found: readonly FoundRun[],
  laneOf: (key: string) => string | undefined,
  ticks: (frame: number) => number,
): Taken {
  const added: string[] = []
  const unnamed = new Set<string>()
  let known = 0
  let short = 0
  for (const passage of [...found].sort((a, b) => a.frames[0]! - b.frames[0]!)) {
    const laneId = laneOf(passage.lane)
    if (laneId === undefined) continue
    if (passage.frames.length < fewestMarks) {
      short += 1
      continue
    }
    const marks = marksOf(passage, ticks)
    const siblings = Object.values(record.runs).filter((run) => run.clipId === clip.id && run.laneId === laneId)
    if (alreadyMarked(siblings, marks, passage.radius_px)) {
      known += 1
      continue
    }
    const { mountingId, finishId, ballId } = nextRun(record, laneId, chosenStore.getState())
    if (mountingId === null || finishId === null || ballId === null) {
      unnamed.add(laneId)
      continue
    }
    const id = newId('run-')
    const run: Run = {
      id,
      laneId,
      mountingId,
      viewId: clip.viewId,
      clipId: clip.id,
      finishId,
      ballId,
      direction: passage.direction > 0 ? 'down' : 'up',
      marks: marks,
    }
    const spin = spinOf(record, run, passage.turning)
    draft.runs[id] = { ...run, ...(spin && { spin }) }
    added.push(id)
  }
  return { added, known, short, unnamed: [...unnamed] }
}
