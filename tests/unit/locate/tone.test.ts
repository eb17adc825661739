import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { TONE_EXPONENT, toneIndex, toneOf } from '../../../workers/locate/tone.ts'

describe.each([false, true])('tone of grey levels, full range %s', (fullRange) => {
  const { black, white, value, slope } = toneOf(fullRange)
  const toneAt = (grey: number): number => value[toneIndex(grey)]!

  test('but for its darkest part the curve is a power of the share of white', () => {
    const share = (grey: number): number => (grey - black) / (white - black)
    fc.assert(
      fc.property(fc.integer({ min: 60, max: 255 }), fc.integer({ min: 60, max: 255 }), (a, b) => {
        expect(toneAt(a) / toneAt(b)).toBeCloseTo((share(a) / share(b)) ** TONE_EXPONENT, 9)
      }),
    )
  })

  test('it rises everywhere, and the slope takes its steps back to grey levels', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 510 }), (grey) => {
        const step = (toneAt(grey + 1) - toneAt(grey - 1)) / 2
        expect(step).toBeGreaterThan(0)
        expect(step * slope[toneIndex(grey)]!).toBeCloseTo(1, 1)
      }),
    )
  })

  test('middle grey changes as fast as its grey level', () => {
    expect(slope[toneIndex((black + white) / 2)]).toBeCloseTo(1, 6)
  })

  test('a level brighter than any picture has is the brightest of the table', () => {
    expect(toneIndex(1e4)).toBe(value.length - 1)
  })
})
