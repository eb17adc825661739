import { produce } from 'immer'
import { expect, test } from 'vitest'
import type { ClipFacts } from '../../../workers/bridge/decode-client.ts'
import { emptyRecord, parseRecord, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { clipFrom, removeClip, setTrim, turnView, viewForClip } from '../../../web/stations/footage/clip-edits.ts'
import {
  filmingPoints,
  lensFeigns_m_s2,
  nearerFeigns,
  shutterFeigns,
  yawFeigns_m_s2,
} from '../../../web/stations/footage/filming-points.ts'
import { histogramBars } from '../../../web/stations/footage/histogram-bars.ts'
import { inFrontOf, stillGroups } from '../../../web/stations/footage/still-groups.ts'
import { addBarPlane } from '../../../web/stations/scale/plane-edits.ts'
import { drawLane } from '../../../web/stations/lanes/lane-edits.ts'
import { droppedFrames } from '../../../workers/measure/index.ts'
import { expectedWait } from '../../../web/stations/footage/expected-wait.ts'
import { differences, otherFileFault, takeOtherFile } from '../../../web/stations/footage/other-file.ts'
import { expectedFall, noFallMarks, withFallMark } from '../../../web/stations/time/fall-marks.ts'
import { cutAt, joinPiece, moveCut, piecesOf, roomOfCut } from '../../../web/stations/time/piece-edits.ts'
import { offeredRates, rateAdvice } from '../../../web/stations/time/rate-advice.ts'

function facts(change: Partial<ClipFacts> = {}): ClipFacts {
  const ticks = Float64Array.from({ length: 100 }, (_, i) => i * 512)
  return {
    name: 'passage.mp4',
    size_bytes: 1_000_000,
    quickKey: 'q1-abc',
    container: 'MP4',
    codec: 'H.264',
    codedWidth_px: 1280,
    codedHeight_px: 720,
    rotation_deg: 0,
    mirrored: false,
    displayedWidth_px: 1280,
    displayedHeight_px: 720,
    pixelAspect: 1,
    bitDepth: 8,
    frames: 100,
    timescale_hz: 15360,
    ticks,
    intervals: {
      min_s: 1 / 30,
      median_s: 1 / 30,
      mean_s: 1 / 30,
      max_s: 1 / 30,
      histogram: [{ ticks: 512, count: 99 }],
      distinct: 1,
      steady: true,
    },
    fileRate_hz: 30,
    filmingRateTag_hz: 240,
    timestampsRounded_s: 0,
    decoder: 'webcodecs',
    decoderReason: '',
    expectedFrame_s: null,
    damage: null,
    ...change,
  }
}

function withClip(change: Partial<ClipFacts> = {}): { record: SlowlaneRecord; viewId: string } {
  let viewId = ''
  const record = produce(emptyRecord('r', 'test', ''), (draft) => {
    const read = facts(change)
    viewId = viewForClip(draft, read).viewId
    draft.clips['c'] = clipFrom(read, 'c', viewId, '2026-05-14T10:00:00Z')
  })
  return { record, viewId }
}
const isValid = (record: SlowlaneRecord) => parseRecord(JSON.parse(JSON.stringify(record))).kind === 'ok'

test('an opened clip becomes a valid entry with its view', () => {
  const { record, viewId } = withClip()
  expect(isValid(record)).toBe(true)
  expect(record.clips['c']!.interval).toEqual({ median: 512, least: 512, greatest: 512, uneven: 0 })
  expect(record.views[viewId]!.width).toBe(1280)
})

test('a clip turned by its file gives an upright view', () => {
  const { record, viewId } = withClip({ rotation_deg: 90 })
  expect([record.views[viewId]!.width, record.views[viewId]!.height]).toEqual([720, 1280])
})

test('uneven timestamps are counted, an odd tick of rounding is not', () => {
  const ticks = Float64Array.from({ length: 100 }, (_, i) => i * 512 + (i % 2))
  expect(withClip({ ticks }).record.clips['c']!.interval.uneven).toBe(0)
  const dropped = Float64Array.from({ length: 100 }, (_, i) => (i < 50 ? i : i + 1) * 512)
  expect(withClip({ ticks: dropped }).record.clips['c']!.interval.uneven).toBe(1)
})

test('stills without time make a valid clip all the same', () => {
  const { record } = withClip({
    timescale_hz: 0,
    ticks: new Float64Array(100),
    fileRate_hz: null,
    filmingRateTag_hz: null,
  })
  expect(isValid(record)).toBe(true)
  expect(record.clips['c']!.lastTicks).toBe(99)
})

test('a second clip of the same size shares the view, one of another size gets its own', () => {
  const { record, viewId } = withClip()
  produce(record, (draft) => {
    expect(viewForClip(draft, facts())).toEqual({ viewId, shared: true })
    expect(viewForClip(draft, facts({ codedWidth_px: 640 })).shared).toBe(false)
  })
})

test('removing a clip takes its runs and its unused view along and leaves a valid record', () => {
  const { record } = withClip()
  const bare = produce(record, (draft) => removeClip(draft, 'c'))
  expect(isValid(bare)).toBe(true)
  expect(Object.keys(bare.views)).toEqual([])
  expect(Object.keys(bare.sources)).toEqual(['gravity'])
})

test('four quarter turns bring every placed point back, and one moves bar, lane line and marks alike', () => {
  const { record, viewId } = withClip()
  const full = produce(record, (draft) => {
    const view = draft.views[viewId]!
    addBarPlane(
      draft,
      viewId,
      { x: 100, y: 600 },
      { x: 900, y: 610 },
      {
        value: 0.35,
        distribution: { kind: 'rectangular', half: 0.0005 },
        basis: '',
        unknown: false,
      },
    )
    const laneId = drawLane(draft, view, [
      { x: 10, y: 20 },
      { x: 1200, y: 60 },
    ])
    draft.runs['run'] = {
      id: 'run',
      laneId,
      mountingId: Object.keys(draft.mountings)[0]!,
      viewId,
      clipId: 'c',
      finishId: Object.keys(draft.finishes)[0]!,
      ballId: 'ball',
      direction: 'down',
      marks: { frame: [3], ticks: [1536], x: [200], y: [30], sigma: [0.5], origin: ['hand'], doubt: [0] },
    }
  })
  const once = produce(full, (draft) => turnView(draft, viewId))
  expect([once.views[viewId]!.width, once.views[viewId]!.height]).toEqual([720, 1280])
  expect([once.runs['run']!.marks.x[0], once.runs['run']!.marks.y[0]]).toEqual([690, 200])
  expect(Object.values(once.views[viewId]!.lines)[0]!.points[0]).toEqual({ x: 700, y: 10 })
  let back = full
  for (let i = 0; i < 4; i++) back = produce(back, (draft) => turnView(draft, viewId))
  expect(back).toEqual(full)
})

test('a trim is kept inside the clip and in order; the whole clip is no trim', () => {
  const { record } = withClip()
  const trim = (first: number, last: number) =>
    produce(record, (draft) => setTrim(draft.clips['c']!, first, last)).clips['c']!.trim
  expect(trim(10, 50)).toEqual({ first: 10, last: 50 })
  expect(trim(50, 10)).toEqual({ first: 10, last: 50 })
  expect(trim(-5, 500)).toBeUndefined()
})

test('the errors of the filming checklist are those of their formulas', () => {
  // Values computed by hand from the pinhole camera: 2° at 0.5 m/s and 1 m; 5 mm in 1 m; 8 ms across 0.5 m at 1 m/s; k1 −0.05, 0.2 m off.
  expect(yawFeigns_m_s2((2 * Math.PI) / 180, 0.5, 1)).toBeCloseTo(-0.01745, 5)
  expect(nearerFeigns(0.005, 1)).toBeCloseTo(0.005025, 6)
  expect(shutterFeigns(1, 0.008, 0.5).v).toBeCloseTo(0.0163, 4)
  expect(shutterFeigns(1, 0.008, 0.5).a).toBeCloseTo(0.0496, 4)
  expect(lensFeigns_m_s2(-0.05, 0.2, 0.5, 1)).toBeCloseTo(-0.015, 9)
  for (const point of filmingPoints) {
    expect(point.avoids.percent, point.id).toBeGreaterThan(0)
    expect(point.avoids.percent, point.id).toBeLessThan(100)
  }
})

test('one odd interval among thousands still has a bar that is seen', () => {
  const bars = histogramBars(
    [
      { ticks: 512, count: 5000 },
      { ticks: 1024, count: 1 },
    ],
    15360,
  )
  expect(bars.map((bar) => bar.interval_ms)).toEqual([512 / 15.36, 1024 / 15.36])
  expect(bars[0]!.height).toBe(1)
  expect(bars[1]!.height).toBeGreaterThan(0.05)
})

test('many different intervals are gathered without losing one', () => {
  const histogram = Array.from({ length: 150 }, (_, i) => ({ ticks: 500 + i, count: i + 1 }))
  const bars = histogramBars(histogram, 1000)
  expect(bars.length).toBeLessThanOrEqual(24)
  expect(bars.reduce((sum, bar) => sum + bar.count, 0)).toBe((150 * 151) / 2)
})

test('numbered stills come together in the order of their numbers, films stay alone', () => {
  // Node's files lie in no folder; a browser's say so with an empty path.
  const file = (name: string, type: string) => ({
    file: Object.assign(new File(['x'], name, { type }), { webkitRelativePath: '' }),
  })
  const groups = stillGroups([
    file('shot_10.png', 'image/png'),
    file('film.mp4', 'video/mp4'),
    file('shot_2.png', 'image/png'),
    file('other_1.png', 'image/png'),
  ])
  expect(groups.map((group) => group.map(({ file: f }) => f.name))).toEqual([
    ['film.mp4'],
    ['shot_2.png', 'shot_10.png'],
    ['other_1.png'],
  ])
  expect(inFrontOf([{ name: 'shot_0042.png' }])).toBe('shot')
})

test('the tag is offered first, and a rate that contradicts it is pointed out with its consequence', () => {
  const { record, viewId } = withClip()
  const clip = record.clips['c']!
  expect(offeredRates(clip)[0]).toBe(240)
  const at = (rate: number) => {
    const set = produce(record, (draft) => {
      draft.sources['s'] = { id: 's', name: 'rate', unit: 'Hz', distribution: { kind: 'rectangular', half: 0.24 } }
      draft.views[viewId]!.timebase = {
        kind: 'filmed-at',
        rate_hz: { value: rate, sources: ['s'] },
        spacing: 'timestamps',
      }
    })
    return rateAdvice(set, clip, set.views[viewId]!)
  }
  expect(at(240)).toBeNull()
  expect(at(120)?.text).toMatch(/240.*120.*50 %/)
  expect(at(15)?.text).toMatch(/time lapse/)
  expect(rateAdvice(record, clip, record.views[viewId]!)).toBeNull()
})

test('taking a slow-motion file at its own time says by how much speeds would be wrong', () => {
  const { record, viewId } = withClip()
  const set = produce(record, (draft) => {
    draft.sources['s'] = { id: 's', name: 'clock', unit: '1', distribution: { kind: 'rectangular', half: 0.001 } }
    draft.views[viewId]!.timebase = { kind: 'file', drift: { value: 0, sources: ['s'] } }
  })
  expect(rateAdvice(set, set.clips['c']!, set.views[viewId]!)?.text).toMatch(/8 times too small.*64 times/)
})

function marked(record: SlowlaneRecord, viewId: string, frames: readonly number[]): SlowlaneRecord {
  return produce(record, (draft) => {
    const laneId = drawLane(draft, draft.views[viewId]!, [
      { x: 10, y: 20 },
      { x: 1200, y: 60 },
    ])
    draft.balls['ball'] = { id: 'ball', name: 'steel', diameter_m: { value: 0.016, sources: [] }, material: 'steel' }
    const column = <T>(value: T): T[] => frames.map(() => value)
    draft.runs['run'] = {
      id: 'run',
      laneId,
      mountingId: Object.keys(draft.mountings)[0]!,
      viewId,
      clipId: 'c',
      finishId: Object.keys(draft.finishes)[0]!,
      ballId: 'ball',
      direction: 'down',
      marks: {
        frame: [...frames],
        ticks: frames.map((frame) => 512 * frame),
        x: column(200),
        y: column(30),
        sigma: column(0.5),
        origin: column('hand' as const),
        doubt: column(0),
      },
    }
  })
}

test('a changed file keeps marks, trim and cuts by frame, and brings its own times; what was read from pixels goes', () => {
  const { record, viewId } = withClip()
  const before = produce(marked(record, viewId, [3, 50, 90]), (draft) => {
    const clip = draft.clips['c']!
    clip.trim = { first: 2, last: 95 }
    cutAt(clip, 40, 40 * 512, 240)
    clip.repeated = [7]
    clip.lamp = { x: 0, y: 0, width: 4, height: 4, fromFrame: 0, ticks: [0], luma: [1] }
  })
  const other = facts({
    quickKey: 'q2',
    name: 'copy.mov',
    timescale_hz: 600,
    ticks: Float64Array.from({ length: 100 }, (_, i) => 20 * i),
  })
  expect(otherFileFault(before, before.clips['c']!, other)).toBeNull()
  const after = produce(before, (draft) => takeOtherFile(draft, 'c', other))
  expect(isValid(after)).toBe(true)
  expect(after.runs['run']!.marks).toEqual({ ...before.runs['run']!.marks, ticks: [60, 1000, 1800] })
  const clip = after.clips['c']!
  expect([clip.trim, clip.pieces!.map((piece) => piece.fromTicks)]).toEqual([{ first: 2, last: 95 }, [0, 800]])
  expect([clip.repeated, clip.lamp, clip.quickKey]).toEqual([undefined, undefined, 'q2'])
})

test('a file of another size, or without a marked frame, is refused with the figure that stands against it', () => {
  const { record, viewId } = withClip()
  const before = marked(record, viewId, [3, 90])
  const clip = before.clips['c']!
  expect(otherFileFault(before, clip, facts({ codedWidth_px: 640 }))).toMatch(/640 × 720 px.*1280 × 720/)
  expect(otherFileFault(before, clip, facts({ frames: 80 }))).toMatch(/80 frames.*frame 90/)
  expect(differences(clip, facts({ frames: 99, fileRate_hz: 29.97 }))).toEqual([
    'frames: 100 before, 99 now',
    'plays at: 30 before, 29.97 now',
  ])
})

test('cuts keep their order and their neighbours, and joining all leaves one rate', () => {
  const { record } = withClip()
  const edit = (from: SlowlaneRecord, change: (clip: Parameters<typeof cutAt>[0]) => void) =>
    produce(from, (draft) => change(draft.clips['c']!))
  const cut = edit(
    edit(record, (clip) => cutAt(clip, 60, 60 * 512, 240)),
    (clip) => cutAt(clip, 30, 30 * 512, 240),
  )
  const at = (r: SlowlaneRecord) => piecesOf(r.clips['c']!).map((piece) => piece.fromFrame)
  expect(at(cut)).toEqual([0, 30, 60])
  expect(roomOfCut(cut.clips['c']!, 1)).toEqual({ least: 1, most: 59 })
  expect(at(edit(cut, (clip) => moveCut(clip, 1, 70, 0)))).toEqual([0, 30, 60])
  expect(at(edit(cut, (clip) => moveCut(clip, 1, 45, 45 * 512)))).toEqual([0, 45, 60])
  expect(at(edit(cut, (clip) => joinPiece(clip, 2)))).toEqual([0, 30])
  expect(
    edit(
      edit(cut, (clip) => joinPiece(clip, 2)),
      (clip) => joinPiece(clip, 1),
    ).clips['c']!.pieces,
  ).toBeUndefined()
  expect(isValid(cut)).toBe(true)
})

test('frames dropped by the camera are counted from the timestamps; a change of pace is no drop', () => {
  const ticks = (steps: readonly number[]) => steps.reduce((all, step) => [...all, all.at(-1)! + step], [0])
  const even = Array.from({ length: 40 }, () => 100)
  expect(droppedFrames(ticks(even))).toEqual([])
  expect(droppedFrames(ticks(even.with(10, 200).with(25, 400)))).toEqual([
    { frame: 11, missing: 1 },
    { frame: 26, missing: 3 },
  ])
  expect(droppedFrames(ticks(even.map((step, i) => (i < 20 ? step : 8 * step))))).toEqual([])
})

test('the expected wait is said where it is worth saying', () => {
  expect(expectedWait({ name: 'a', expectedFrame_s: null }, 10_000)).toBeNull()
  expect(expectedWait({ name: 'a', expectedFrame_s: 0.02 }, 50)).toBeNull()
  expect(expectedWait({ name: 'a', expectedFrame_s: 0.02 }, 2400)).toContain('48 s')
  expect(expectedWait({ name: 'a', expectedFrame_s: 0.1 }, 2400)).toContain('4 minutes')
})

test('the next place of a falling ball follows from its last three marks', () => {
  const at = (frame: number) => ({ x: 100 + 0.2 * frame, y: 50 + 0.4 * frame + 0.08 * frame * frame })
  let marks = noFallMarks
  for (const frame of [20, 10, 15]) marks = withFallMark(marks, frame, frame, at(frame))
  expect(marks.frames).toEqual([10, 15, 20])
  const next = expectedFall(marks, 26)!
  expect(next.x).toBeCloseTo(at(26).x, 9)
  expect(next.y).toBeCloseTo(at(26).y, 9)
})
