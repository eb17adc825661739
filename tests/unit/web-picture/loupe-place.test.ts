import fc from 'fast-check'
import { expect, test } from 'vitest'
import { loupePlace, type Pointing } from '../../../web/picture/loupe-place.ts'

const stage = { width: 960, height: 540 }
const pointing = fc.constantFrom<Pointing>('mouse', 'pen', 'touch', 'keys')

test('the loupe never covers its own point, and under a finger stands clear of the finger', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0, max: 960, noNaN: true }),
      fc.double({ min: 0, max: 540, noNaN: true }),
      pointing,
      (x, y, how) => {
        const c = loupePlace({ x, y }, stage, 70, how)
        const gap = Math.hypot(c.x - x, c.y - y) - 70
        expect(gap).toBeGreaterThanOrEqual(how === 'touch' ? 77.9 : 29.9)
      },
    ),
    { seed: 4 },
  )
})

test('on a stage with room the loupe is whole', () => {
  fc.assert(
    fc.property(fc.double({ min: 0, max: 960, noNaN: true }), fc.double({ min: 0, max: 540, noNaN: true }), (x, y) => {
      const c = loupePlace({ x, y }, stage, 70, 'mouse')
      expect(c.x).toBeGreaterThanOrEqual(70)
      expect(c.x).toBeLessThanOrEqual(890)
      expect(c.y).toBeGreaterThanOrEqual(70)
      expect(c.y).toBeLessThanOrEqual(470)
    }),
    { seed: 5 },
  )
})

test('a finger never has the loupe below it, where the hand is', () => {
  fc.assert(
    fc.property(fc.double({ min: 0, max: 960, noNaN: true }), fc.double({ min: 0, max: 540, noNaN: true }), (x, y) => {
      expect(loupePlace({ x, y }, stage, 70, 'touch').y).toBeLessThanOrEqual(y)
    }),
    { seed: 6 },
  )
})
