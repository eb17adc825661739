import fc from 'fast-check'
import { produce } from 'immer'
import { expect, test } from 'vitest'
import { Marks } from '../../../workers/record/index.ts'
import { expectedPlace } from '../../../web/stations/marks/expected-place.ts'
import {
  markAt,
  moveMark,
  noMarks,
  placeOf,
  putMark,
  removeMark,
  type Mark,
} from '../../../web/stations/marks/mark-columns.ts'
import { trendOf } from '../../../web/stations/marks/trend.ts'

const mark = (frame: number, x = frame * 2, y = 100): Mark => ({
  frame,
  ticks: frame * 512,
  x,
  y,
  sigma: 0.5,
  origin: 'hand',
  doubt: 0,
})

test('marks put in any order stay in order, one a frame, and pass the schema', () => {
  fc.assert(
    fc.property(fc.array(fc.integer({ min: 0, max: 60 }), { maxLength: 80 }), (frames) => {
      const marks = produce(noMarks(), (draft) => {
        for (const frame of frames) putMark(draft, mark(frame))
      })
      expect(marks.frame).toEqual([...new Set(frames)].sort((a, b) => a - b))
      expect(Marks.safeParse(marks).success).toBe(true)
    }),
    { seed: 11 },
  )
})

test('the second mark on a frame takes the place of the first', () => {
  const marks = produce(noMarks(), (draft) => {
    putMark(draft, mark(7, 10))
    putMark(draft, mark(7, 12))
  })
  expect(marks.frame).toEqual([7])
  expect(markAt(marks, 7)?.x).toBe(12)
})

test('taking away what was put leaves what there was', () => {
  fc.assert(
    fc.property(fc.uniqueArray(fc.integer({ min: 0, max: 60 }), { minLength: 1 }), fc.nat(), (frames, pick) => {
      const chosen = frames[pick % frames.length]!
      const rest = produce(noMarks(), (draft) => {
        for (const frame of frames) if (frame !== chosen) putMark(draft, mark(frame))
      })
      const there = produce(rest, (draft) => putMark(draft, mark(chosen)))
      expect(produce(there, (draft) => void removeMark(draft, chosen))).toEqual(rest)
      expect(placeOf(there.frame, chosen).there).toBe(true)
    }),
    { seed: 12 },
  )
})

test('a found mark that is moved counts as nudged and is no longer doubted; one by hand stays by hand', () => {
  const marks = produce(noMarks(), (draft) => {
    putMark(draft, { ...mark(1), origin: 'found', doubt: 2, sigma: 0.06 })
    putMark(draft, mark(2))
    moveMark(draft, 1, { x: 5, y: 6 }, 0.5)
    moveMark(draft, 2, { x: 5, y: 6 }, 0.5)
  })
  expect(marks.origin).toEqual(['nudged', 'hand'])
  expect(marks.doubt).toEqual([0, 0])
  expect(marks.sigma).toEqual([0.5, 0.5])
})

test('the trend finds its parabola again, however late the clock starts and however short the way', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0, max: 100_000, noNaN: true }),
      fc.double({ min: -2, max: 2, noNaN: true }),
      fc.double({ min: -5, max: 5, noNaN: true }),
      (start, v, a) => {
        const points = Array.from({ length: 20 }, (_, i) => {
          const u = i / 240
          return [start + u, 0.1 + v * u + (a * u * u) / 2] as const
        })
        const trend = trendOf(points, 2)
        if (trend.kind !== 'trend') throw new Error('twenty points are enough')
        expect(trend.slopeAt(start)).toBeCloseTo(v, 5)
        expect(trend.bend).toBeCloseTo(a, 3)
      },
    ),
    { seed: 13 },
  )
})

test('a trend through too few different times says so instead of answering', () => {
  expect(trendOf([], 1)).toEqual({ kind: 'too-few', have: 0, need: 2 })
  expect(
    trendOf(
      [
        [1, 2],
        [1, 3],
      ],
      1,
    ),
  ).toEqual({ kind: 'too-few', have: 1, need: 2 })
  expect(
    trendOf(
      [
        [0, 0],
        [1, 1],
      ],
      2,
    ),
  ).toEqual({ kind: 'too-few', have: 2, need: 3 })
})

test('the expected place follows a ball that speeds up, forwards and backwards', () => {
  const picture = { width: 2000, height: 1000 }
  const at = (f: number) => 100 + 3 * f + 0.02 * f * f
  const marks = produce(noMarks(), (draft) => {
    for (const f of [40, 44, 48, 52, 56]) putMark(draft, mark(f, at(f)))
  })
  expect(expectedPlace(marks, 60, picture)?.x).toBeCloseTo(at(60), 6)
  expect(expectedPlace(marks, 36, picture)?.x).toBeCloseTo(at(36), 6)
  expect(expectedPlace(marks, 50, picture)?.x).toBeCloseTo(at(50), 6)
})

test('nothing is expected without marks or outside the picture', () => {
  const picture = { width: 400, height: 300 }
  expect(expectedPlace(noMarks(), 3, picture)).toBeUndefined()
  const marks = produce(noMarks(), (draft) => {
    putMark(draft, mark(0, 100))
    putMark(draft, mark(4, 140))
  })
  expect(expectedPlace(marks, 8, picture)?.x).toBeCloseTo(180, 9)
  expect(expectedPlace(marks, 200, picture)).toBeUndefined()
})
