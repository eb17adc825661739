import { describe, expect, test } from 'vitest'
import { renderedSource, type RenderedBall, type RenderedScene } from '../../support/rendered-lane.ts'
import type { Luma } from '../../../workers/locate/frame-source.ts'
import { findRuns } from '../../../workers/locate/find-runs.ts'
import { followRun } from '../../../workers/locate/follow-run.ts'
import { laneLine } from '../../../workers/locate/lane-line.ts'
import { releaseIntervals } from '../../../workers/physics/release-intervals.ts'
import { followSentence } from '../../../workers/locate/sentences.ts'
import { StreakSheets } from '../../../workers/locate/streak-sheet.ts'

const WIDTH = 360
const ROW = 30.5
const RADIUS = 9

const rolling = (start: number, speed: number): RenderedBall => ({
  radius: RADIUS,
  level: 60,
  at: (frame) => (frame < start ? undefined : { x: speed * (frame - start) - RADIUS, y: ROW }),
})

const lane = laneLine(
  'A',
  [
    [3, ROW],
    [WIDTH - 3, ROW],
  ],
  RADIUS,
)

const scene = (balls: readonly RenderedBall[], frames = 120): RenderedScene => {
  return { width: WIDTH, height: 60, frames, balls, lipRow: ROW + 5, noise: 1.5 }
}

function lumaOf(what: RenderedScene, frame: number): Luma {
  const luma = renderedSource(what).luma(frame)
  if (luma instanceof Promise) throw new Error('rendered frames are there at once')
  return luma
}

const times = (n: number): Float64Array => Float64Array.from({ length: n }, (_, i) => i / 240)

describe('the streak sheet', () => {
  test('shows a rolling ball as a dark curve on even grey, at the right place in time', () => {
    const ball = rolling(10, 3)
    const what = scene([ball])
    const sheets = new StreakSheets(renderedSource(what), [lane])
    for (let frame = 0; frame < what.frames; frame++) sheets.add(frame, lumaOf(what, frame))
    const length = WIDTH - 6
    const tile = sheets.tile('A', {
      fromFrame: 0,
      toFrame: 120,
      fromArc: 0,
      toArc: length,
      width: length,
      height: 120,
    })!
    expect(tile.framesRead).toBe(120)
    for (const frame of [40, 70, 100]) {
      const row = [...tile.value.subarray(frame * length, (frame + 1) * length)]
      const dark = row
        .map((v, i) => ({ v, i }))
        .filter(({ v }) => v < 70)
        .map(({ i }) => i)
      const middle = dark.reduce((a, b) => a + b, 0) / dark.length
      expect(Math.abs(middle + 3.5 - ball.at(frame)!.x)).toBeLessThan(1.5)
      expect(row.filter((v) => Math.abs(v - 128) < 12).length).toBeGreaterThan(length - 60)
    }
  })

  test('grows while frames arrive: what is not read yet is 0, a thin streak stays visible from afar', () => {
    const what = scene([rolling(10, 3)])
    const sheets = new StreakSheets(renderedSource(what), [lane])
    expect(sheets.tile('A', { fromFrame: 0, toFrame: 9, fromArc: 0, toArc: 9, width: 3, height: 3 })).toBeUndefined()
    for (let frame = 0; frame < 80; frame++) sheets.add(frame, lumaOf(what, frame))
    const tile = sheets.tile('A', { fromFrame: 0, toFrame: 120, fromArc: 0, toArc: 354, width: 24, height: 12 })!
    expect(tile.framesRead).toBe(80)
    expect([...tile.value.subarray(8 * 24)].every((v) => v === 0)).toBe(true)
    for (let row = 2; row < 7; row++)
      expect(Math.min(...tile.value.subarray(row * 24, (row + 1) * 24))).toBeLessThan(60)
    expect(sheets.tile('Z', { fromFrame: 0, toFrame: 9, fromArc: 0, toArc: 9, width: 3, height: 3 })).toBeUndefined()
  })

  test('stays within its budget however long the clip is', () => {
    const frame = lumaOf(scene([]), 0)
    const source = { ...renderedSource(scene([])), frameCount: 200_000 }
    const sheets = new StreakSheets(source, [lane, { ...lane, id: 'B' }], 4e6)
    for (const at of [0, 1, 50_000, 199_999]) sheets.add(at, frame)
    expect(sheets.bytes).toBeLessThanOrEqual(4e6)
    expect(sheets.framesRead).toBe(4)
  })
})

describe('following a run', () => {
  test('one mark in the picture, or two clicks on a streak, give the ball that passes there and no other', async () => {
    const balls = [rolling(0, 3), rolling(30, 3.2)]
    const source = renderedSource(scene(balls))
    for (const clicks of [
      [{ frame: 60, x: balls[1]!.at(60)!.x + 2, y: ROW - 1 }],
      [
        { frame: 50, s: balls[1]!.at(50)!.x - 3 },
        { frame: 90, s: balls[1]!.at(90)!.x - 1 },
      ],
    ]) {
      const outcome = await followRun(source, lane, clicks, { time_s: times(120) })
      expect(outcome.kind).toBe('followed')
      if (outcome.kind !== 'followed') continue
      const worst = Math.max(
        ...[...outcome.run.frames].map((frame, i) => Math.abs(outcome.run.x[i]! - balls[1]!.at(frame)!.x)),
      )
      expect(worst).toBeLessThan(0.4)
      expect(followSentence(outcome)).toContain('marks')
    }
  })

  test('clicks on two different streaks, or on none, are refused with a sentence', async () => {
    const balls = [rolling(0, 3), rolling(40, 3)]
    const source = renderedSource(scene(balls))
    const mixed = await followRun(
      source,
      lane,
      [
        { frame: 50, s: balls[0]!.at(50)!.x },
        { frame: 100, s: balls[1]!.at(100)!.x },
      ],
      { time_s: times(120) },
    )
    expect(mixed).toMatchObject({ kind: 'lost', reason: 'other-place' })
    expect(followSentence(mixed)).toContain('one streak only')
    const nothing = await followRun(renderedSource(scene([])), lane, [{ frame: 50, s: 100 }], { time_s: times(120) })
    expect(nothing).toMatchObject({ kind: 'lost', reason: 'nothing-there' })
  })
})

describe('releases', () => {
  test('interval, jitter and spacing of a train of balls come with the runs', async () => {
    const starts = [0, 24, 50, 74]
    const outcome = await findRuns(
      renderedSource(
        scene(
          starts.map((start) => rolling(start, 3)),
          160,
        ),
      ),
      [lane],
      { time_s: times(160) },
    )
    const releases = releaseIntervals(outcome.runs, 'A', 1, times(160))
    expect(releases.kind).toBe('releases')
    if (releases.kind !== 'releases') return
    expect(releases.times_s).toHaveLength(4)
    expect(releases.interval_s * 240).toBeCloseTo(74 / 3, 1)
    // Intervals of 24, 26 and 24 frames: standard deviation 2/√3 frames.
    expect(releases.jitter_s * 240).toBeCloseTo(2 / Math.sqrt(3), 1)
    expect(releases.spacings[1]!.mean).toBeCloseTo(78, 0)
    expect(releaseIntervals(outcome.runs.slice(0, 1), 'A', 1, times(160))).toMatchObject({
      kind: 'too-few-balls',
      have: 1,
    })
  })
})
