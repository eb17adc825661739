import { describe, expect, test } from 'vitest'
import { compareRun, figuresLine, readTruth, truthLanes } from '../../support/clip-truth.ts'
import { openNativeLuma } from '../../support/native-luma.ts'
import { findRuns } from '../../../workers/locate/find-runs.ts'

/** Rendered clips with exactly known truth (their README says by what): every passage must be found, none invented. */
const clips = new URL('../../data/clips/', import.meta.url).pathname
const cases = [
  { name: 'a_single_v', radius: 18, passages: ['A1'] },
  { name: 'b_three_as_cut', radius: 18, passages: ['A1', 'B1', 'C1'] },
  { name: 'c_three_sanded', radius: 18, passages: ['A1', 'B1', 'C1'] },
  { name: 'd_level_both_ways', radius: 24, passages: ['A1', 'A2'] },
]
/** Bias and scatter allowed along the lane, px: steel before saw-marked wood is the hardest. */
const allowed = (surface: string): { bias: number; scatter: number } => {
  return surface === 'steel' ? { bias: 0.04, scatter: 0.13 } : { bias: 0.03, scatter: 0.07 }
}

describe.each(cases)('$name', ({ name, radius, passages }) => {
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
    },
  )
})
