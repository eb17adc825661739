import fc from 'fast-check'
import { produce } from 'immer'
import { beforeEach, describe, expect, test } from 'vitest'
import { doubtCodes, type Run, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { setSession, sessionStore, nothingChosen } from '../../../web/record/session.ts'
import { recordStore, redo, showRecord, undo } from '../../../web/record/store.ts'
import { marksOverlay } from '../../../web/stations/marks/marks-overlay.ts'
import { noMarks, putMark } from '../../../web/stations/marks/mark-columns.ts'
import { acceptAndGoOn, nextUnsure, removeAndGoOn, toUnsure, unsureIn } from '../../../web/stations/marks/review.ts'
import { byWhom } from '../../../web/stations/marks/run-edits.ts'
import {
  acceptAll,
  canSplit,
  joinableWith,
  joinRuns,
  moveRun,
  removeUnsure,
  reverseRun,
  splitRun,
} from '../../../web/stations/marks/whole-run-edits.ts'
import { madeRecord } from '../../support/made-lane.ts'

const misfit = doubtCodes.indexOf('misfit')
const accepted = doubtCodes.indexOf('accepted')

function addRun(record: SlowlaneRecord, id: string, frames: readonly number[], unsure: readonly number[] = []): void {
  const marks = noMarks()
  for (const frame of frames)
    putMark(marks, {
      frame,
      ticks: 10 * frame,
      x: 3 * frame,
      y: 50,
      sigma: 0.05,
      origin: 'found',
      doubt: unsure.includes(frame) ? misfit : 0,
    })
  record.runs[id] = {
    id,
    laneId: 'A',
    mountingId: 'on-A',
    viewId: 'view',
    clipId: 'clip',
    finishId: 'cut',
    ballId: 'ball',
    direction: 'down',
    marks,
    spin: { perTurn_m: 0.04, u_m: 0.0002, turns: 9 },
  }
}

const span = (from: number, to: number): number[] => Array.from({ length: to - from }, (_, i) => from + i)

function withRuns(): SlowlaneRecord {
  const record = madeRecord(['A', 'B'])
  record.clips['clip'] = { frames: 200 } as SlowlaneRecord['clips'][string]
  addRun(record, 'first', span(10, 30), [12, 20])
  addRun(record, 'second', span(40, 60), [41])
  addRun(record, 'third', span(70, 90))
  return record
}

describe('whole runs', () => {
  test('a run split anywhere and joined again has the marks it had', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 100 }), (frame) => {
        const record = withRuns()
        const before = record.runs['first']!
        const made: { id: string | null } = { id: null }
        const split = produce(record, (draft) => {
          made.id = splitRun(draft, 'first', frame)
        })
        expect(made.id !== null).toBe(canSplit(before, frame))
        expect(made.id !== null).toBe(frame > 10 && frame <= 29)
        if (made.id === null) {
          expect(split).toEqual(record)
          return
        }
        expect(split.runs['first']!.marks.frame.every((f) => f < frame)).toBe(true)
        expect(split.runs[made.id]!.marks.frame.every((f) => f >= frame)).toBe(true)
        expect(split.runs['first']!.spin).toBeUndefined()
        expect(joinableWith(split, split.runs['first']!).after?.id).toBe(made.id)
        const joined = produce(split, (draft) => void joinRuns(draft, 'first', made.id!))
        expect(joined.runs['first']!.marks).toEqual(before.marks)
        expect(Object.keys(joined.runs)).toEqual(Object.keys(record.runs))
      }),
      { seed: 4, numRuns: 60 },
    )
  })

  test('two balls at once are not joined into one', () => {
    const record = withRuns()
    addRun(record, 'beside', span(20, 50))
    const tried = produce(record, (draft) => {
      expect(joinRuns(draft, 'first', 'beside')).toBe(false)
    })
    expect(tried).toEqual(record)
    expect(joinableWith(record, record.runs['first']!).after?.id).toBe('second')
    expect(joinableWith(record, record.runs['beside']!)).toEqual({ after: record.runs['third'] })
  })

  test('a ball that starts anew at the top of the lane is not offered as the going on of one that has left it', () => {
    const record = withRuns()
    addRun(record, 'anew', span(100, 120))
    const again = record.runs['anew']!
    again.marks.x = again.marks.frame.map((frame) => 3 * (frame - 90))
    expect(joinableWith(record, record.runs['third']!).after).toBeUndefined()
    expect(joinableWith(record, again).before?.id).not.toBe('third')
  })

  test('a run goes to another lane with that lane’s mounting, and back round', () => {
    const record = withRuns()
    const moved = produce(record, (draft) => void moveRun(draft, record, 'first', 'B'))
    expect(moved.runs['first']).toMatchObject({ laneId: 'B', mountingId: 'on-B' })
    const turned = produce(record, (draft) => reverseRun(draft, 'first'))
    expect(turned.runs['first']!.direction).toBe('up')
    expect(produce(turned, (draft) => reverseRun(draft, 'first'))).toEqual(record)
  })

  test('all unsure marks are accepted or taken away at once, and no other mark is touched', () => {
    const record = withRuns()
    const kept = produce(record, (draft) => acceptAll(draft, 'first'))
    expect(kept.runs['first']!.marks.doubt.filter((d) => d === accepted)).toHaveLength(2)
    expect(kept.runs['first']!.marks.frame).toHaveLength(20)
    const gone = produce(record, (draft) => removeUnsure(draft, 'first'))
    expect(gone.runs['first']!.marks.frame).toEqual(span(10, 30).filter((f) => f !== 12 && f !== 20))
    expect(byWhom(gone.runs['first']!)).toEqual({ found: 18, byHand: 0 })
  })
})

describe('review', () => {
  beforeEach(() => {
    showRecord(withRuns())
    setSession({ ...nothingChosen, clipId: 'clip' })
  })

  const here = () => {
    const { runId, frame } = sessionStore.getState()
    return [runId, frame]
  }

  test('one key goes through the unsure marks of all runs, in order, and begins anew', () => {
    const seen = span(0, 4).map(() => (toUnsure(), here()))
    expect(seen).toEqual([
      ['first', 12],
      ['first', 20],
      ['second', 41],
      ['first', 12],
    ])
    toUnsure(-1)
    expect(here()).toEqual(['second', 41])
  })

  test('accepting goes on to the next; each is one undo with its name', () => {
    toUnsure()
    expect(acceptAndGoOn()).toBe(true)
    expect(here()).toEqual(['first', 20])
    removeAndGoOn()
    expect(here()).toEqual(['second', 41])
    const { record, past } = recordStore.getState()
    expect(past.map(({ name }) => name)).toEqual(['accept the mark on frame 12', 'take away the mark on frame 20'])
    expect(unsureIn(record, 'clip')).toEqual([{ runId: 'second', frame: 41 }])
    undo()
    undo()
    expect(recordStore.getState().record).toEqual(withRuns())
    redo()
    expect(unsureIn(recordStore.getState().record, 'clip')).toHaveLength(2)
  })

  test('a mark that is sure is neither accepted nor taken away', () => {
    setSession({ runId: 'first', frame: 15 })
    expect(acceptAndGoOn()).toBe(false)
    removeAndGoOn()
    expect(recordStore.getState().past).toEqual([])
  })

  test('runs left out of the results and runs of other clips want no look', () => {
    const record = withRuns()
    record.runs['first']!.excluded = true
    record.runs['second']!.clipId = 'elsewhere'
    expect(unsureIn(record, 'clip')).toEqual([])
    expect(nextUnsure(record, 'clip', { runId: null, frame: 0 }, 1)).toBeUndefined()
  })
})

test('found marks are drawn finer than marks by hand, and unsure ones carry a flag', () => {
  const record = withRuns()
  const run: Run = record.runs['first']!
  run.marks.origin[5] = 'hand'
  const view = {
    id: 'view',
    lines: {},
    planes: {},
    gravity: [],
  } as unknown as SlowlaneRecord['views'][string]
  const items = marksOverlay({
    record,
    view,
    clipId: 'clip',
    frame: 14,
    run,
    laneId: 'A',
    expected: undefined,
    scale: 10,
  })
  const points = (kind: 'crosses' | 'dots', found: boolean): number =>
    items.reduce((n, item) => n + (item.kind === kind && item.found === found ? item.points.length : 0), 0)
  expect(points('crosses', false) + points('dots', false)).toBe(1)
  // All but the mark by hand and the one that is a handle.
  expect(points('crosses', true) + points('dots', true)).toBe(18)
  expect(items.find((item) => item.kind === 'flags')).toMatchObject({
    points: [
      { x: 36, y: 50 },
      { x: 60, y: 50 },
    ],
  })
})
