import { lazy } from 'react'
import type { Run, SlowlaneRecord } from '../../../workers/record/index.ts'
import type { Session } from '../../record/session.ts'
import { setSession } from '../../record/session.ts'
import { goTo } from '../../shell/route.ts'
import type { NextStep, Station, StationState } from '../registry.ts'
import { toUnsure } from './review.ts'
import { runNumber, unsureFrames } from './run-edits.ts'

/** Fewer marks than this fit no acceleration and leave nothing over to judge it by. */
const fewest = 4
/** Runs of one lane and finish that know their own scatter. */
const enoughRuns = 5

const usedRuns = (record: SlowlaneRecord): Run[] => Object.values(record.runs).filter((run) => !run.excluded)

function state(record: SlowlaneRecord): StationState {
  const runs = usedRuns(record)
  if (runs.length === 0) return 'not-started'
  return runs.every((run) => run.marks.frame.length >= fewest && unsureFrames(run).length === 0) ? 'ready' : 'attention'
}

const called = (record: SlowlaneRecord, run: Run): string =>
  `Lane ${record.lanes[run.laneId]?.key ?? ''}, run ${runNumber(record, run)}`

function next(record: SlowlaneRecord, session: Session): NextStep | null {
  const clip = session.clipId === null ? undefined : record.clips[session.clipId]
  if (!clip) return { text: 'Marks are set on a clip.', action: { label: 'Add footage', run: () => goTo('footage') } }
  if (Object.keys(record.lanes).length === 0)
    return {
      text: 'A run rolls along a lane, and none is drawn yet.',
      action: { label: 'Draw a lane', run: () => goTo('lanes') },
    }
  const runs = usedRuns(record)
  const run = session.runId === null ? undefined : record.runs[session.runId]
  const unsureHere = run ? unsureFrames(run).length : 0
  if (run && unsureHere > 0)
    return {
      text: `${called(record, run)}: ${run.marks.frame.length} marks, ${unsureHere} of them unsure.`,
      action: { label: 'Step through the unsure ones', run: () => toUnsure(), key: 'n' },
    }
  if (run && run.marks.frame.length < fewest)
    return {
      text: `${called(record, run)}: ${run.marks.frame.length} ${run.marks.frame.length === 1 ? 'mark' : 'marks'}; ${fewest} are the least, 20 spread over the whole passage are good.`,
    }
  const other = runs.find((r) => unsureFrames(r).length > 0 || r.marks.frame.length < fewest)
  if (other)
    return {
      text: `${called(record, other)} ${unsureFrames(other).length > 0 ? `has ${unsureFrames(other).length} unsure marks` : `has only ${other.marks.frame.length} marks`}.`,
      action: {
        label: 'Go there',
        run: () =>
          setSession({ clipId: other.clipId, runId: other.id, laneId: other.laneId, frame: other.marks.frame[0] ?? 0 }),
      },
    }
  if (runs.length === 0)
    return {
      text: 'Start a run: choose its lane, go to the frame where the ball comes into view, and press on its centre.',
    }
  const few = fewestRuns(record, runs)
  if (few && few.count < enoughRuns)
    return {
      text: `Lane ${few.key}, ${few.finish}: ${few.count} ${few.count === 1 ? 'run' : 'runs'}. ${enoughRuns} the same way know their own scatter; doubling the length of a run is worth 16 times as many marks.`,
    }
  return null
}

function fewestRuns(record: SlowlaneRecord, runs: readonly Run[]) {
  const counts = new Map<string, number>()
  for (const run of runs) {
    const key = `${run.laneId} ${run.finishId}`
    counts.set(key, (counts.get(key) ?? 0) + 1)
  }
  const [key, count] = [...counts].sort(([, a], [, b]) => a - b)[0] ?? []
  if (key === undefined || count === undefined) return null
  const [laneId = '', finishId = ''] = key.split(' ')
  return { count, key: record.lanes[laneId]?.key ?? '', finish: record.finishes[finishId]?.name ?? '' }
}

export const station: Station = {
  name: 'marks',
  label: 'Marks',
  Page: lazy(() => import('./page.tsx').then((m) => ({ default: m.MarksPage }))),
  state,
  next,
}
