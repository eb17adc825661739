import { describe, expect, test } from 'vitest'
import { chooseModel } from '../../workers/fit/choose-model.ts'
import { attempt } from '../../workers/fit/candidates.ts'
import { fitMotion, residualsOf } from '../../workers/fit/motion-fit.ts'
import { fitSeries } from '../../workers/fit/series-fit.ts'
import { fitRun, type RunSeries } from '../../workers/fit/run-fit.ts'

const white = { scale2: 1, dof: Infinity, rho: 0, residualRatio: 1 }
const seriesOf = (step_s: number, mm: readonly number[]): RunSeries => ({
  t_s: Float64Array.from(mm, (_, i) => step_s * i),
  s_m: Float64Array.from(mm, (value) => value / 1000),
  sigma_m: new Float64Array(mm.length).fill(0.001),
})
const squaresOf = (series: readonly RunSeries[], kind: 'constant-velocity' | 'constant-acceleration') =>
  attempt({ series, travel: 1, drag_per_m: 0, knots_m: [], marks: 12 }, kind, false).squares

describe('a single run, recomputed with numpy.polyfit and numpy.linalg.lstsq (twelve marks, millimetres)', () => {
  const a = seriesOf(0.05, [0.1, 14.8, 31.0, 48.3, 66.8, 86.2, 107.4, 129.2, 152.9, 177.3, 203.4, 230.2])

  test('acceleration, speed and their standard errors', () => {
    const run = fitRun(a)!
    expect(run.curvature_m_s2).toBeCloseTo(0.489390609, 8)
    const s = Math.sqrt(squaresOf([a], 'constant-acceleration')! / 9)
    expect(s).toBeCloseTo(0.147804, 5)
    expect((s * 0.001) / Math.sqrt(run.norms[2] * 1e-6)).toBeCloseTo(0.003236599, 8)
  })

  test('squares and criterion of constant speed and constant acceleration', () => {
    expect(squaresOf([a], 'constant-acceleration')).toBeCloseTo(0.196613, 5)
    expect(squaresOf([a], 'constant-velocity')).toBeCloseTo(499.660513, 4)
    const chosen = chooseModel([a], 1, 'auto', 0, [])!
    const by = new Map(chosen.candidates.map((one) => [one.model, one]))
    // AICc from the squares alone, −35.622786 and 53.748267; neighbours are not positively correlated (lag-1 −0.57).
    expect(chosen.noise.rho).toBe(0)
    expect(by.get('constant-acceleration')!.aicc).toBeCloseTo(-35.622786, 3)
    expect(by.get('constant-velocity')!.aicc).toBeCloseTo(53.748267, 3)
    expect(chosen.fit.spec.kind).toBe('constant-acceleration')
  })
})

test('three runs share one acceleration and keep their own speeds, recomputed with numpy.linalg.lstsq', () => {
  const runs = [
    seriesOf(0.1, [0.2, 21.3, 45.6, 72.2, 102.1, 134.6, 170.5, 208.9, 250.6]),
    seriesOf(0.1, [0, 31.2, 64.9, 102.3, 141.8, 184.9, 230.5, 279.6, 331.2]),
    seriesOf(0.1, [-0.1, 15.6, 34.5, 56.2, 80.9, 108.1, 138.9, 172.1, 208.6]),
  ]
  const joint = fitSeries(runs, white, false)!
  expect(joint.acceleration_m_s2).toBeCloseTo(0.29354978, 7)
  for (const [i, alone] of [0.291645, 0.296017, 0.292987].entries())
    expect(joint.runs[i]!.curvature_m_s2).toBeCloseTo(alone, 6)
  const spec = { kind: 'constant-acceleration', ownAcceleration: false, knots_m: [], drag_per_m: 0 } as const
  const motion = fitMotion(spec, runs, 1)!
  expect(motion.shared[0]).toBeCloseTo(0.29354978, 7)
  // Speed at the first mark, 0.4 s before the middle.
  for (const [i, v0] of [0.19534675, 0.29654675, 0.14341342].entries())
    expect(motion.own[i]![1]! - 0.4 * motion.shared[0]!).toBeCloseTo(v0, 7)
  const squares = residualsOf(motion).reduce((sum, r) => sum + r.reduce((s, x) => s + x * x, 0), 0)
  expect(squares).toBeCloseTo(0.5200289, 6)
  const s = Math.sqrt(squares / (27 - 7))
  expect(s * joint.random.u).toBeCloseTo(0.001060945, 8)
})

// robotex.ing.ee, 20 October 2011, "Physics 101 – Measuring ball movement": a golf ball past marks at 0, 0.5, 1.0 and 1.5 m, times read off video frames.
test('the golf-ball data set: shared deceleration of five runs of four marks', () => {
  const times = [
    [15.244, 15.84, 16.598, 17.804],
    [26.327, 26.651, 27.1, 27.566],
    [35.219, 35.57, 36.02, 36.5],
    [43.604, 44.08, 44.638, 45.26],
    [51.963, 52.5, 53.182, 54.047],
  ]
  const runs = times.map((t): RunSeries => ({
    t_s: Float64Array.from(t),
    s_m: Float64Array.of(0, 0.5, 1, 1.5),
    sigma_m: new Float64Array(4).fill(1),
  }))
  const joint = fitSeries(runs, white, false)!
  // Recomputed with numpy: a = −0.26060 (0.02449), s = 0.023135 m with 9 degrees of freedom.
  expect(joint.acceleration_m_s2).toBeCloseTo(-0.2606, 4)
  const spec = { kind: 'constant-acceleration', ownAcceleration: false, knots_m: [], drag_per_m: 0 } as const
  const motion = fitMotion(spec, runs, 1)!
  const squares = residualsOf(motion).reduce((sum, r) => sum + r.reduce((s, x) => s + x * x, 0), 0)
  const s = Math.sqrt(squares / 9)
  expect(s).toBeCloseTo(0.023135, 5)
  expect(s * joint.random.u).toBeCloseTo(0.02449, 4)
  for (const [i, v0] of [0.91937, 1.35525, 1.32745, 1.11924, 0.98882].entries()) {
    const first = runs[i]!.t_s[0]! - motion.contexts[i]!.middle_s
    expect(motion.own[i]![1]! + first * motion.shared[0]!).toBeCloseTo(v0, 4)
  }
})
