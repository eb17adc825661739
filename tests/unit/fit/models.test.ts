import { describe, expect, test } from 'vitest'
import { flagSentence, laneResults } from '../../../workers/fit/index.ts'
import { seededRandom } from '../../../workers/fit/numerics/random.ts'
import { airDrag_per_m } from '../../../workers/physics/air-drag.ts'
import { speedProportional, speedSquared } from '../../../workers/physics/kinematics.ts'
import { constantAcceleration, RecordBuilder } from '../../support/record-builder.ts'

const degree = Math.PI / 180
const g = 9.80665

const noiseOf = (seed: number, sigma_px = 0.3) => {
  const random = seededRandom(seed)
  return () => [sigma_px * random.normal(), sigma_px * random.normal()] as const
}
const flat = () => new RecordBuilder().lane('A', { guide: { kind: 'flat' } })

describe('resistance that grows with speed', () => {
  const withRate = (rate_per_s: number, runs: number) => {
    const builder = flat()
    const push = (g * (Math.sin(2 * degree) - 0.006 * Math.cos(2 * degree))) / 1.4
    for (let i = 0; i < runs; i++) {
      const v0 = 0.05 + 0.04 * i
      builder.run({
        s: (t) => 0.02 + speedProportional(t, v0, push, rate_per_s).s_m,
        to: Math.floor(240 * 2.2) - 40 * i,
        noise_px: noiseOf(i),
        sigma_px: 0.3,
      })
    }
    return builder
  }

  test('its rate and the resistance towards speed zero are recovered, over several runs of different speeds', () => {
    const series = laneResults(withRate(0.12, 3).record)[0]!.series[0]!
    expect(series.model.kind).toBe('dry-and-viscous')
    const { rate, crrAtRest, crrAtEntry, crrAtExit, terminal_m_s } = series.model.speedPart!
    expect(Math.abs(rate.value - 0.12)).toBeLessThan(rate.U)
    expect(Math.abs(crrAtRest!.value - 0.006)).toBeLessThan(crrAtRest!.U)
    expect(crrAtExit!.value).toBeGreaterThan(crrAtEntry!.value)
    expect(terminal_m_s! * rate.value).toBeCloseTo((g * (Math.sin(2 * degree) - 0.006)) / 1.4, 1)
    // Different accelerations of slow and fast runs are this law's, not scatter.
    expect(series.betweenRuns!.counted).toBe(false)
  })

  test('is not claimed where speeds differ by less than a factor of two', () => {
    const builder = flat()
    for (let i = 0; i < 3; i++)
      builder.run({
        s: (t) => 0.02 + speedProportional(t, 0.5, 0.1, 0.12).s_m,
        to: 240,
        every: 1,
        noise_px: noiseOf(i, 0.05),
        sigma_px: 0.05,
      })
    const { candidates } = laneResults(builder.record)[0]!.series[0]!.model
    expect(candidates.find(({ model }) => model === 'dry-and-viscous')!.standing.kind).not.toBe('chosen')
  })

  test('is found in one run from rest however sharp its marks, so that entry and exit speed lie within a narrow U', () => {
    const [push, rate] = [(g * (Math.sin(2.4 * degree) - 0.006)) / 1.4, 0.125]
    for (const [seed, sigma_px] of [0.04, 0.07, 0.15].entries()) {
      const builder = new RecordBuilder().lane('A', { guide: { kind: 'flat' }, slope_rad: 2.4 * degree })
      const way = (t: number) => speedProportional(t, 0, push, rate)
      builder.run({ s: (t) => 0.02 + way(t).s_m, to: 500, noise_px: noiseOf(2 * seed, sigma_px), sigma_px })
      const { model, entry, exit } = laneResults(builder.record)[0]!.series[0]!
      expect(model.kind, `marks to ${sigma_px} px`).toBe('dry-and-viscous')
      for (const { at_m, filmed } of [entry!, exit!]) {
        let t = Math.sqrt((2 * (at_m - 0.02)) / push)
        for (let step = 0; step < 20; step++) t += (at_m - 0.02 - way(t).s_m) / way(t).v_m_s
        expect(Math.abs(filmed.value - way(t).v_m_s), `at ${at_m} m, marks to ${sigma_px} px`).toBeLessThan(filmed.U)
        // A parabola over this run is off by 0.01 m/s at its exit.
        expect(filmed.U).toBeLessThan(0.008)
      }
      expect(exit!.filmed.U).toBeLessThan(0.002)
    }
  })

  test('where the marks speak for it but it cannot be claimed, the speeds’ U holds what it reads otherwise, and it is said', () => {
    const push = (g * (Math.sin(2.4 * degree) - 0.006)) / 1.8
    const way = (t: number) => speedProportional(t, 0.35, push, 0.07)
    let [missed, doubted] = [0, 0]
    for (let seed = 0; seed < 20; seed++) {
      const builder = new RecordBuilder().lane('A', { slope_rad: 2.4 * degree })
      builder.run({ s: (t) => 0.02 + way(t).s_m, to: 320, noise_px: noiseOf(seed), sigma_px: 0.3 })
      const [result] = laneResults(builder.record)
      const { model, exit } = result!.series[0]!
      let t = 320 / 240
      for (let step = 0; step < 20; step++) t += (exit!.at_m - 0.02 - way(t).s_m) / way(t).v_m_s
      if (Math.abs(exit!.filmed.value - way(t).v_m_s) > exit!.filmed.U) missed++
      const said = result!.flags.find(({ kind }) => kind === 'model-doubted')
      expect(said !== undefined, `seed ${seed}`).toBe(model.spokenFor !== null)
      if (!said) continue
      doubted++
      expect(model.kind).toBe('constant-acceleration')
      expect(flagSentence(builder.record, said)).toMatch(
        /told by a constant acceleration, but the marks speak for resistance that changes/,
      )
    }
    // 20 intervals of 95 % miss more than 3 times once in 60; by a constant acceleration alone every third misses.
    expect(missed).toBeLessThanOrEqual(3)
    expect(doubted).toBeGreaterThan(2)
  })

  test('is not claimed on a lane whose resistance is constant', () => {
    const series = laneResults(withRate(0, 3).record)[0]!.series[0]!
    expect(series.model.kind).toBe('constant-acceleration')
    expect(series.model.speedPart).toBeNull()
  })

  test('a person may choose another model and sees what changes', () => {
    const { record } = withRate(0.12, 3)
    record.settings.models['A.cut'] = 'constant-acceleration'
    const plain = laneResults(record)[0]!.series[0]!
    expect(plain.model.kind).toBe('constant-acceleration')
    const chosen = plain.model.candidates.find(({ standing }) => standing.kind === 'chosen')!
    expect(chosen.standing).toEqual({ kind: 'chosen', by: 'person' })
    expect(plain.model.spokenFor!.kind).toBe('dry-and-viscous')
    expect(chosen.aicc!).toBeGreaterThan(plain.model.candidates.find(({ model }) => model === 'dry-and-viscous')!.aicc!)
    record.settings.models['A.cut'] = 'auto'
    // The equivalent resistance is one parabola's whatever the model; only how much runs differ is judged anew.
    const free = laneResults(record)[0]!.crr!
    expect(Math.abs(free.value - plain.crr!.value)).toBeLessThan(free.U)
  })
})

test('known air drag is taken off a light ball: the lane’s own resistance comes out', () => {
  const builder = new RecordBuilder().lane('A', {
    guide: { kind: 'flat' },
    slope_rad: 6 * degree,
    diameter_m: { value: 0.016, sources: [] },
  })
  const ball = builder.record.balls['ball-A']!
  ball.density_kg_m3 = { value: 500, sources: [] }
  const mass_kg = (500 * Math.PI * 0.016 ** 3) / 6
  const drag = airDrag_per_m({ radius_m: 0.008, mass_kg, k: 1.4 })
  const a0 = (g * (Math.sin(6 * degree) - 0.004 * Math.cos(6 * degree))) / 1.4
  builder.run({ s: (t) => 0.02 + speedSquared(t, 0.1, a0, drag).s_m, to: 280, every: 2 })
  builder.record.settings.models['A.cut'] = 'known-drag'
  const [result] = laneResults(builder.record)
  const { withoutAir, kind } = result!.series[0]!.model
  expect(kind).toBe('known-drag')
  expect(withoutAir!.drag_per_m).toBeCloseTo(drag, 12)
  expect(withoutAir!.crr.value).toBeCloseTo(0.004, 4)
  expect(result!.crr!.value - withoutAir!.crr.value).toBeGreaterThan(5e-4)
})

test('rolling uphill fast and slow gives the same resistance as rolling down, each by its own sign', () => {
  const builder = new RecordBuilder().lane('A', { slope_rad: 1.5 * degree })
  const a = (travel: number) => (g * (Math.sin(1.5 * degree) - travel * 0.007 * Math.cos(1.5 * degree))) / 1.8
  builder.run({ s: constantAcceleration(0.02, 0.3, a(1)), to: 320 })
  builder.run({ s: constantAcceleration(0.62, -0.55, a(-1)), to: 320, direction: 'up' })
  for (const { crr } of laneResults(builder.record)[0]!.series) expect(crr!.value).toBeCloseTo(0.007, 8)
})

test('a slope given by heights along the lane makes each piece’s resistance right where one slope for all would not', () => {
  const builder = new RecordBuilder().lane('A', { slope_rad: 2 * degree })
  // The lane sags: 2.3° over its first half, 1.7° over the second; the line in the picture is its chord.
  const [first, second] = [2.3 * degree, 1.7 * degree]
  const drop = (s: number) => -Math.sin(first) * Math.min(s, 0.33) - Math.sin(second) * Math.max(0, s - 0.33)
  builder.record.mountings['on-A']!.slope = {
    kind: 'along',
    stations: [0, 0.33, 0.66].map((s_m) => ({ s_m, height_m: 0.1 + drop(s_m) })),
    height_m: { value: 0, sources: [] },
  }
  const at = (slope: number) => (g * (Math.sin(slope) - 0.008 * Math.cos(slope))) / 1.8
  const v0 = 0.2
  const atJoint = Math.sqrt(v0 * v0 + 2 * at(first) * 0.33)
  const joint = (atJoint - v0) / at(first)
  const s = (t: number) =>
    t < joint ? v0 * t + 0.5 * at(first) * t * t : 0.33 + atJoint * (t - joint) + 0.5 * at(second) * (t - joint) ** 2
  builder.run({ s, to: 400, every: 1, noise_px: noiseOf(8, 0.1), sigma_px: 0.1 })
  const error = () => {
    const pieces = laneResults(builder.record)[0]!.series[0]!.local!.pieces.slice(1, -1)
    expect(pieces.length).toBeGreaterThan(2)
    return Math.sqrt(pieces.reduce((sum, { crr }) => sum + (crr!.value - 0.008) ** 2, 0) / pieces.length)
  }
  const along = error()
  builder.record.mountings['on-A']!.slope = { kind: 'angle', angle_rad: { value: 2 * degree, sources: [] } }
  expect(along).toBeLessThan(0.0015)
  expect(error()).toBeGreaterThan(3 * along)
})

describe('simpler ways check the fit', () => {
  test('height of fall and exit speed, and the times at three gates, agree with it within their own U', () => {
    const builder = new RecordBuilder().lane('A')
    const a = (g * (Math.sin(2 * degree) - 0.008 * Math.cos(2 * degree))) / 1.8
    for (let i = 0; i < 3; i++)
      builder.run({
        s: (t) => constantAcceleration(0.03, 0, a)(Math.max(0, t - 0.3)),
        to: 700,
        noise_px: noiseOf(60 + i, 0.5),
        sigma_px: 0.5,
      })
    const [result] = laneResults(builder.record)
    expect(result!.checks.map(({ kind }) => kind)).toEqual(['release-and-exit', 'gates'])
    for (const { crr } of result!.checks) expect(Math.abs(crr.value - 0.008)).toBeLessThan(crr.U)
    // Three times from each run say less than all its marks; a start from rest that is known says more.
    const [energy, gates] = result!.checks
    expect(gates!.crr.random.u).toBeGreaterThan(result!.crr!.random.u)
    expect(energy!.crr.random.u).toBeLessThan(result!.crr!.random.u)
  })
})

describe('what to measure next', () => {
  test('one direction with a doubtful slope: the other direction first, with the U that it then has', () => {
    const builder = new RecordBuilder()
    const angle = builder.stated(
      2 * degree,
      'inclinometer',
      { kind: 'rectangular', half: 0.1 * degree },
      { unit: 'rad' },
    )
    builder.lane('A', { slope: { kind: 'angle', angle_rad: angle } })
    const a = (travel: number) => (g * (Math.sin(2 * degree) - travel * 0.008 * Math.cos(2 * degree))) / 1.8
    for (let i = 0; i < 3; i++)
      builder.run({ s: constantAcceleration(0.02, 0.2, a(1)), to: 360, noise_px: noiseOf(i, 0.5) })
    const before = laneResults(builder.record)[0]!
    expect(before.advice[0]).toMatchObject({ kind: 'two-way', runs: 3, now: before.crr!.U })
    for (let i = 0; i < 3; i++)
      builder.run({
        s: constantAcceleration(0.62, -0.6, a(-1)),
        to: 340,
        direction: 'up',
        noise_px: noiseOf(9 + i, 0.5),
      })
    const after = laneResults(builder.record)[0]!
    expect(after.crr!.U / before.advice[0]!.U).toBeGreaterThan(0.5)
    expect(after.crr!.U / before.advice[0]!.U).toBeLessThan(2)
    expect(after.advice.map(({ kind }) => kind)).toEqual(['more-runs'])
  })

  test('an unknown slope: the two-way run is offered although there is no C_rr yet', () => {
    const builder = new RecordBuilder().lane('A', { slope: { kind: 'unknown' } })
    builder.run({ s: constantAcceleration(0.02, 0.2, 0.15), to: 360, noise_px: noiseOf(4, 0.5) })
    const [result] = laneResults(builder.record)
    expect(result!.crr).toBeNull()
    expect(result!.advice).toEqual([expect.objectContaining({ kind: 'two-way', now: Infinity })])
    expect(result!.advice[0]!.U).toBeLessThan(0.002)
  })
})
