import { expect, test } from 'vitest'
import { Doubt } from '../../../workers/locate/doubts.ts'
import type { Located, RawMark } from '../../../workers/locate/locate-passage.ts'
import { surest } from '../../../workers/locate/read-passage.ts'

const mark = (frame: number, s: number, doubt = 0): RawMark => ({
  frame,
  s,
  across: 0,
  radius: 12,
  doubt,
  formal: 0.03,
  bound: 0.01,
  smear_px: 0,
  halfWidth: 0,
  look: new Uint8Array(0),
})

test('of two readings each frame keeps the clear second mark, else the first one, doubted; no frame that had a mark loses it', () => {
  const first: Located = {
    marks: [mark(1, 10), mark(2, 20, Doubt.oneEdge), mark(3, 30), mark(5, 50, Doubt.weakContrast)],
    refused: [
      { frame: 4, reason: 'width-off' },
      { frame: 6, reason: 'hidden' },
    ],
  }
  const again: Located = {
    marks: [mark(2, 21), mark(3, 31, Doubt.poorFit), mark(4, 41, Doubt.neighbour), mark(6, 61, Doubt.oneEdge)],
    refused: [
      { frame: 1, reason: 'hidden' },
      { frame: 5, reason: 'width-off' },
    ],
  }
  const { marks, refused } = surest(first, again)
  expect(marks.map(({ frame, s, doubt }) => [frame, s, doubt])).toEqual([
    [1, 10, Doubt.poorFit],
    [2, 21, 0],
    [3, 30, Doubt.poorFit],
    [4, 41, Doubt.neighbour],
    [5, 50, Doubt.weakContrast | Doubt.poorFit],
  ])
  expect(refused).toEqual([{ frame: 6, reason: 'hidden' }])
})
