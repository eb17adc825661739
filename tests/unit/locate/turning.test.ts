import { describe, expect, test } from 'vitest'
import { renderedSource, type RenderedBall } from '../../support/rendered-lane.ts'
import { findRuns } from '../../../workers/locate/find-runs.ts'
import { laneLine } from '../../../workers/locate/lane-line.ts'
import { turnDistance, type TurnOutcome } from '../../../workers/locate/turn-distance.ts'
import type { FoundRun } from '../../../workers/locate/found-run.ts'

const WIDTH = 560
const ROW = 36.5
const RADIUS = 13

async function run(perRadian: number | undefined, more: Partial<RenderedBall> = {}): Promise<FoundRun> {
  const ball: RenderedBall = {
    radius: RADIUS,
    level: 60,
    at: (frame) => ({ x: 3 * frame - 20, y: ROW }),
    ...(perRadian === undefined ? {} : { spot: { share: 0.55, radius: 4, level: 225, perRadian_px: perRadian } }),
    ...more,
  }
  const source = renderedSource({ width: WIDTH, height: 74, frames: 190, balls: [ball], lipRow: ROW + 7, noise: 1.5 })
  const line = laneLine(
    'A',
    [
      [3, ROW],
      [WIDTH - 3, ROW],
    ],
    RADIUS,
  )
  const outcome = await findRuns(source, [line], { time_s: Float64Array.from({ length: 190 }, (_, i) => i / 240) })
  expect(outcome.runs).toHaveLength(1)
  return outcome.runs[0]!
}

const read = (found: FoundRun): TurnOutcome => turnDistance(found.spin.looks, found.s, { radius: RADIUS })

describe('turning read from the pattern', () => {
  test.each([7.2, 9.5, 12.6])('a spot gives the rolling radius of %s px within U, U at most 2 %', async (rolling) => {
    const outcome = read(await run(rolling))
    expect(outcome.kind).toBe('turning')
    if (outcome.kind !== 'turning') return
    expect(2 * outcome.rollingRadiusU).toBeLessThanOrEqual(0.02 * rolling)
    expect(Math.abs(outcome.rollingRadius - rolling)).toBeLessThanOrEqual(2 * outcome.rollingRadiusU)
    expect(outcome.slips).toEqual([])
  })

  test('a highlight that stays where it is does not turn: no pattern', async () => {
    expect(read(await run(undefined, { highlight: 250 })).kind).toBe('no-pattern')
    expect(read(await run(undefined)).kind).toBe('no-pattern')
  })

  test('distances in another unit scale the answer and nothing else', async () => {
    const found = await run(9.5)
    const a = turnDistance(found.spin.looks, found.s, { radius: RADIUS })
    const b = turnDistance(
      found.spin.looks,
      found.s.map((s) => s * 0.0006),
      { radius: RADIUS * 0.0006 },
    )
    if (a.kind !== 'turning' || b.kind !== 'turning') throw new Error('both must turn')
    expect(b.perTurn / a.perTurn).toBeCloseTo(0.0006, 9)
  })

  test('a ball that slides over part of the lane is flagged there', async () => {
    const found = await run(9.5)
    // The same looks, but between marks 70 and 100 the way is stretched: turning falls behind by a fifth.
    const stretched = Float64Array.from(found.s)
    let more = 0
    for (let i = 1; i < stretched.length; i++) {
      const step = found.s[i]! - found.s[i - 1]!
      if (i > 70 && i <= 110) more += 0.2 * step
      stretched[i] = found.s[i]! + more
    }
    const outcome = turnDistance(found.spin.looks, stretched, { radius: RADIUS })
    expect(outcome.kind).toBe('turning')
    if (outcome.kind !== 'turning') return
    expect(outcome.slips.length).toBeGreaterThan(0)
    for (const slip of outcome.slips) {
      expect(slip.at).toBeGreaterThan(stretched[50]! - stretched[0]!)
      expect(slip.at).toBeLessThan(stretched[130]! - stretched[0]!)
    }
  })

  test('less than one and a half turns are too few', async () => {
    const found = await run(9.5)
    const few = 18
    const outcome = turnDistance(
      found.spin.looks.subarray(0, few * (found.spin.looks.length / found.s.length)),
      found.s.subarray(0, few),
      {
        radius: RADIUS,
      },
    )
    expect(outcome.kind).toBe('too-short')
  })
})
