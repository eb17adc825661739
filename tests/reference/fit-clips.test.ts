import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { laneResults } from '../../workers/fit/index.ts'
import { monteCarlo, type MonteCarloOutcome } from '../../workers/fit/monte-carlo.ts'
import { seededRandom } from '../../workers/fit/numerics/random.ts'
import { clipRecord, type ClipTruthFile } from '../support/clip-record.ts'

// Four clips rendered by a program that shares no code with this one, with their truth: tests/data/clips/README.md.
const truthOf = (name: string) =>
  JSON.parse(readFileSync(new URL(`../data/clips/${name}.truth.json`, import.meta.url), 'utf8')) as ClipTruthFile

function drawn(record: Parameters<typeof monteCarlo>[0], laneId: string): MonteCarloOutcome {
  const draws = monteCarlo(record, laneId, 'finish', 400, seededRandom(7))
  for (;;) {
    const step = draws.next()
    if (step.done) return step.value
  }
}

describe.each(['a_single_v', 'b_three_as_cut', 'c_three_sanded', 'd_level_both_ways'])('clip %s', (name) => {
  const truth = truthOf(name)
  const made = clipRecord(truth)
  const results = laneResults(made.record)
  // The lanes resist partly in proportion to speed: the truth of the equivalent value is the same fit on the noise-free projections.
  const exact = laneResults(clipRecord(truth, { exact: true }).record)

  test('C_rr of every lane lies within U of what error-free marks give', () => {
    expect(results).toHaveLength(truth.lanes.length)
    for (const [i, result] of results.entries())
      expect(Math.abs(result.crr!.value - exact[i]!.crr!.value), `lane ${result.laneId}`).toBeLessThan(result.crr!.U)
  })

  test('entry and exit speeds lie within U of the true speed there', () => {
    for (const result of results)
      for (const { entry, exit, runs } of result.series)
        for (const speed of [entry!, exit!]) {
          const miss = speed.filmed.value - made.trueSpeed(runs[0]!.runId, speed.at_m)
          expect(Math.abs(miss), `lane ${result.laneId} at ${speed.at_m} m`).toBeLessThan(speed.filmed.U)
          // By the plane of the rectangle, not by a wide U: a few thousandths of a metre per second, but for the lane with a slow spot.
          expect(speed.filmed.U).toBeLessThan(result.laneId === 'B' ? 0.008 : 0.0035)
        }
  })

  test('U is what a Monte Carlo of the stated inputs gives', () => {
    for (const result of results) {
      const { results: draws, failed } = drawn(made.record, result.laneId)
      expect(failed).toBe(0)
      for (const { quantity, interval } of draws) {
        if (quantity.kind === 'crr-two-way') continue
        const series = result.series[quantity.series]!
        const stated =
          quantity.kind === 'crr'
            ? series.crr
            : quantity.kind === 'acceleration'
              ? series.acceleration
              : series[quantity.kind]!.filmed
        const ratio = stated!.U / ((interval[1] - interval[0]) / 2)
        // 400 draws leave the half width uncertain by about 5 %.
        expect(ratio, `${quantity.kind} of lane ${result.laneId}`).toBeGreaterThan(0.85)
        expect(ratio, `${quantity.kind} of lane ${result.laneId}`).toBeLessThan(1.2)
      }
    }
  })
})

test('the part of resistance that goes with speed is recovered where the marks show it', () => {
  const truth = truthOf('a_single_v')
  const [result] = laneResults(clipRecord(truth).record)
  const { model } = result!.series[0]!
  expect(model.kind).toBe('dry-and-viscous')
  const [lane] = truth.lanes
  expect(Math.abs(model.speedPart!.rate.value - 1 / lane!.tau_s)).toBeLessThan(model.speedPart!.rate.U)
  expect(Math.abs(model.speedPart!.crrAtRest!.value - lane!.c0)).toBeLessThan(model.speedPart!.crrAtRest!.U)
})

test('the slow spot of lane B is named where it is, and no other lane is accused', () => {
  const results = laneResults(clipRecord(truthOf('b_three_as_cut')).record)
  const spots = results.map((result) => result.series[0]!.local!.slowSpots)
  expect(spots.map((found) => found.length > 0)).toEqual([false, true, false])
  // Its true place is 310 mm from the start, 14 mm standard deviation.
  expect(Math.min(...spots[1]!.map(({ from_m }) => from_m))).toBeLessThan(0.31)
  expect(Math.max(...spots[1]!.map(({ to_m }) => to_m))).toBeGreaterThan(0.31)
})

test('rolled both ways, the lane of clip d gives its slope without being told', () => {
  const truth = truthOf('d_level_both_ways')
  const { record } = clipRecord(truth)
  record.mountings['on-A']!.slope = { kind: 'unknown' }
  const [result] = laneResults(record)
  const [way] = result!.ways
  expect(way!.kind).toBe('two-way')
  expect(Math.abs(way!.slope!.value - truth.lanes[0]!.theta_rad)).toBeLessThan(way!.slope!.U)
})
