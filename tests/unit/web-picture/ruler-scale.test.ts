import fc from 'fast-check'
import { expect, test } from 'vitest'
import {
  frameOnRuler,
  gaps,
  nextMarked,
  niceStep,
  onRuler,
  previousMarked,
  rulerFrames,
} from '../../../web/picture/ruler-scale.ts'
import { ruledBy } from '../../../web/picture/ruled-by.ts'

test('every frame is found again at its own place on the ruler', () => {
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 20000 }), fc.double({ min: 0, max: 1, noNaN: true }), (frames, share) => {
      const frame = Math.round(share * (frames - 1))
      expect(frameOnRuler(onRuler(frame, frames), frames)).toBe(frame)
    }),
    { seed: 7 },
  )
})

test('labels stand on 1, 2, 5 steps and never closer than asked', () => {
  for (const frames of [2, 10, 119, 700, 12345]) {
    const labels = rulerFrames(frames, 1000, 120)
    expect(labels[0]).toBe(0)
    expect(labels.length).toBeLessThanOrEqual(1 + Math.floor(1000 / 120))
    const step = labels[1]! - labels[0]!
    expect([1, 2, 5]).toContain(Number(String(step)[0]))
  }
  expect(niceStep(0.3, 3)).toBeCloseTo(0.1, 12)
  expect(rulerFrames(0, 1000)).toEqual([])
  expect(rulerFrames(1, 1000)).toEqual([0])
})

test('a gap is where marks at the usual spacing are missing', () => {
  expect(gaps([0, 4, 8, 12, 24, 28])).toEqual([[16, 20]])
  expect(gaps([0, 1, 2, 3, 4])).toEqual([])
  expect(gaps([0, 1, 2, 4])).toEqual([])
  expect(gaps([0, 50])).toEqual([])
})

test('page keys go to the next mark, not to the one shown', () => {
  expect(nextMarked([3, 7, 9], 7)).toBe(9)
  expect(previousMarked([3, 7, 9], 7)).toBe(3)
  expect(nextMarked([3, 7, 9], 9)).toBeUndefined()
  expect(previousMarked([3, 7, 9], 3)).toBeUndefined()
})

test('arrow keys step one frame, ten with Shift, and stop at the ends', () => {
  const key = (name: string, shiftKey = false) => ({
    key: name,
    shiftKey,
    ctrlKey: false,
    metaKey: false,
    altKey: false,
  })
  expect(ruledBy(key('ArrowRight'), 5, 100)).toBe(6)
  expect(ruledBy(key('ArrowLeft', true), 5, 100)).toBe(0)
  expect(ruledBy(key('End'), 5, 100)).toBe(99)
  expect(ruledBy(key('Home'), 5, 100)).toBe(0)
  expect(ruledBy({ ...key('ArrowRight'), altKey: true }, 5, 100)).toBeNull()
  expect(ruledBy(key('x'), 5, 100)).toBeNull()
})
