import { describe, expect, test } from 'vitest'
import { compareRun, figuresLine, readTruth, truthLanes, type ClipTruth } from '../../support/clip-truth.ts'
import { openNativeLuma } from '../../support/native-luma.ts'
import { findRuns } from '../../../workers/locate/find-runs.ts'
import { turnDistance } from '../../../workers/locate/turn-distance.ts'
import type { FoundRun } from '../../../workers/locate/found-run.ts'

/** Rendered clips with exactly known truth (their README says by what): every passage must be found, none invented. */
const clips = new URL('../../data/clips/', import.meta.url).pathname
const cases = [
  { name: 'a_single_v', radius: 18, passages: ['A1'], spotted: [] },
  { name: 'b_three_as_cut', radius: 18, passages: ['A1', 'B1', 'C1'], spotted: ['A1', 'B1', 'C1'] },
  { name: 'c_three_sanded', radius: 18, passages: ['A1', 'B1', 'C1'], spotted: ['A1', 'B1', 'C1'] },
  { name: 'd_level_both_ways', radius: 24, passages: ['A1', 'A2'], spotted: ['A1', 'A2'] },
]
/** Bias and scatter allowed along the lane, px: steel before saw-marked wood is the hardest. */
const allowed = (surface: string): { bias: number; scatter: number } => {
  return surface === 'steel' ? { bias: 0.04, scatter: 0.13 } : { bias: 0.03, scatter: 0.07 }
}

describe.each(cases)('$name', ({ name, radius, passages, spotted }) => {
  test(
    'all passages found, none invented, bias and scatter within target, stated σ honest',
    { timeout: 120_000 },
    async () => {
      const truth = readTruth(`${clips}${name}.truth.json`)
      const source = openNativeLuma(`${clips}${name}.mp4`)
      const lanes = truthLanes(truth, radius)
      const time_s = Float64Array.from({ length: source.frameCount }, (_, i) => i / truth.time.capture_fps)
      const outcome = await findRuns(source, lanes, { time_s })
      source.close()
      expect(outcome.kind).toBe('found')
      const figures = outcome.runs.map((run) =>
        compareRun(
          run,
          truth,
          lanes.find((line) => line.id === run.lane)!,
        ),
      )
      for (const f of figures) if (f) console.log(`${name} ${figuresLine(f)}`)
      expect(figures.every((f) => f !== undefined)).toBe(true)
      expect(figures.map((f) => f?.ball).sort()).toEqual(passages)
      for (const f of figures) {
        if (!f) continue
        const limit = allowed(f.surface)
        expect(Math.abs(f.bias), `${f.ball} bias`).toBeLessThanOrEqual(limit.bias)
        expect(f.scatter, `${f.ball} scatter`).toBeLessThanOrEqual(limit.scatter)
        expect(f.covered, `${f.ball} 2σ`).toBeGreaterThanOrEqual(0.9)
        expect(f.covered, `${f.ball} 2σ`).toBeLessThanOrEqual(0.99)
        expect(f.found, `${f.ball} frames with a mark`).toBeGreaterThan(0.95)
        expect(f.clean, `${f.ball} clean marks`).toBeGreaterThan(0.7 * f.marks)
      }
      outcome.runs.forEach((run, i) => checkRolling(run, truth, figures[i]!.ball, spotted))
    },
  )
})

/** The rolling radius read from the turning pattern, with the distances in metres that truth gives for the same frames. */
function checkRolling(run: FoundRun, truth: ClipTruth, ball: string, spotted: readonly string[]): void {
  const at = (frame: number): number => truth.frames[frame]!.balls.find((b) => b.id === ball)!.s
  const lane = truth.lanes.find((one) => one.name === run.lane)!
  const outcome = turnDistance(run.spin.looks, Float64Array.from(run.frames, at), { radius: lane.ball_radius_m })
  if (!spotted.includes(ball)) {
    expect(outcome.kind, `${ball} has no pattern`).toBe('no-pattern')
    return
  }
  expect(outcome.kind, `${ball} turns`).toBe('turning')
  if (outcome.kind !== 'turning') return
  const U = (2 * outcome.rollingRadiusU) / lane.r_e_m
  const off = outcome.rollingRadius / lane.r_e_m - 1
  console.log(
    `${ball} rolling radius ${(1000 * outcome.rollingRadius).toFixed(3)} mm, off ${(100 * off).toFixed(2)} %, U ${(100 * U).toFixed(2)} %`,
  )
  expect(U).toBeLessThanOrEqual(0.02)
  expect(Math.abs(off)).toBeLessThanOrEqual(U)
  expect(outcome.slips).toEqual([])
}
