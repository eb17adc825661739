import { describe, expect, test } from 'vitest'
import { seededRandom } from '../../../workers/fit/numerics/random.ts'
import { Doubt } from '../../../workers/locate/doubts.ts'
import { honestSigma } from '../../../workers/locate/honest-sigma.ts'
import type { RawMark } from '../../../workers/locate/locate-passage.ts'

const FRAMES = 400
const SCATTER_PX = 0.08

/** A ball that slows down, on one edge in frames `from` … `to`, where all its marks lie `off` px from it. */
function passage(from: number, to: number, off: number): RawMark[] {
  const random = seededRandom(from + to)
  const noise = (): number => SCATTER_PX * random.normal()
  return Array.from({ length: FRAMES }, (_, frame): RawMark => {
    const alone = frame >= from && frame <= to
    return {
      frame,
      s: 2.4 * frame - 0.0011 * frame ** 2 + noise() + (alone ? off : 0),
      across: 0,
      radius: 12,
      doubt: alone ? Doubt.oneEdge : 0,
      formal: 0.03,
      bound: 0.01,
      smear_px: 0,
      halfWidth: alone ? NaN : noise(),
      look: new Uint8Array(0),
    }
  })
}

const sigmas = (marks: readonly RawMark[]): Float64Array => honestSigma(marks, (frame) => frame / 240).sigma

describe('a stretch of marks that rest on one edge', () => {
  test.each([
    ['in the middle of the run', 180, 230],
    ['at its end', 345, FRAMES - 1],
    ['at its start', 0, 50],
  ])('%s says how far it lies from what the sure marks beside it foresee', (_where, from, to) => {
    const marks = passage(from, to, 1.4)
    const sigma = sigmas(marks)
    for (let i = from; i <= to; i++) {
      expect(sigma[i]!).toBeGreaterThan(0.9)
      expect(sigma[i]!).toBeLessThan(2)
    }
    for (const i of [90, 280]) expect(sigma[i]!).toBeLessThan(2 * SCATTER_PX)
  })

  test.each([
    ['in the middle of the run', 180, 230],
    ['at its end', 345, FRAMES - 1],
  ])('%s that lies right is less sure than others, as one edge is, and no more than that', (_where, from, to) => {
    const sigma = sigmas(passage(from, to, 0))
    for (let i = from; i <= to; i++) expect(sigma[i]!).toBeLessThan(5 * SCATTER_PX)
  })

  test('has nothing to be compared with where no sure marks are beside it', () => {
    const sigma = sigmas(passage(0, FRAMES - 1, 1.4))
    expect([...sigma].every((value) => Number.isFinite(value) && value > 0)).toBe(true)
  })
})
