import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  roll,
  stateAtTime,
  timeOfPlace,
  laneLaw,
  resimulateLane,
  resimulateRun,
  type Rolled,
  type RollingLaw,
} from '../../../workers/handover/resimulate/index.ts'
import { laneResults, sourceBookOf } from '../../../workers/fit/index.ts'
import { laneFriction, simulatorForms } from '../../../workers/handover/simulators/index.ts'
import { guideChange } from '../../../workers/physics/changing-guide.ts'
import {
  constantAcceleration,
  speedProportional,
  speedProportionalStop,
  speedSquared,
  speedSquaredStop,
} from '../../../workers/physics/kinematics.ts'
import { acceleration_m_s2 } from '../../../workers/physics/motion.ts'
import { measuredLane } from '../../support/simulated-lane.ts'

const g = 9.80665
const degrees = (angle: number) => (angle * Math.PI) / 180
const lawOf = (more: Partial<RollingLaw> & { slope_rad?: number; resistance?: number } = {}): RollingLaw => {
  const { slope_rad = degrees(2), resistance = 0.008, ...rest } = more
  return {
    g_m_s2: g,
    k: 1.8,
    rate_per_s: 0,
    drag_per_m: 0,
    stretches: [{ until_m: Infinity, slope_rad, resistance }],
    ...rest,
  }
}
const from = (v_m_s: number) => ({ t_s: 0, s_m: 0, v_m_s })
const largestMiss = ({ t_s, s_m }: Rolled, truth: (t_s: number) => number): number =>
  t_s.reduce((most, t, i) => Math.max(most, Math.abs(s_m[i]! - truth(t))), 0)
const last = <T>(values: readonly T[]): T => values[values.length - 1]!

describe('the integrator agrees with the closed forms', () => {
  const slope = fc.double({ min: -0.05, max: 0.08, noNaN: true })
  const resistance = fc.double({ min: 0, max: 0.05, noNaN: true })
  const speed = fc.double({ min: 0.05, max: 1.5, noNaN: true })

  test('with a part proportional to speed: places within 1 nm, stop included', () => {
    fc.assert(
      fc.property(
        slope,
        resistance,
        speed,
        fc.double({ min: 0, max: 1, noNaN: true }),
        (slope_rad, c, v0, rate_per_s) => {
          const push = acceleration_m_s2({ slope_rad, k: 1.8, g_m_s2: g }, c)
          const rolled = roll(lawOf({ slope_rad, resistance: c, rate_per_s }), from(v0), { until_m: 2, longest_s: 10 })
          expect(largestMiss(rolled, (t) => speedProportional(t, v0, push, rate_per_s).s_m)).toBeLessThan(1e-9)
          const stop = speedProportionalStop(v0, push, rate_per_s)
          if (stop && stop.way_m < 1.999 && stop.time_s < 9.9) {
            expect(rolled.end).toMatch(/rests|turns-back/)
            expect(last(rolled.s_m)).toBeCloseTo(stop.way_m, 9)
            expect(last(rolled.t_s)).toBeCloseTo(stop.time_s, 6)
          }
        },
      ),
      { numRuns: 60, seed: 11 },
    )
  })

  test('with a part proportional to the square of speed: places within 1 nm, stop included', () => {
    fc.assert(
      fc.property(
        slope,
        resistance,
        speed,
        fc.double({ min: 0, max: 0.3, noNaN: true }),
        (slope_rad, c, v0, drag_per_m) => {
          const push = acceleration_m_s2({ slope_rad, k: 1.8, g_m_s2: g }, c)
          const rolled = roll(lawOf({ slope_rad, resistance: c, drag_per_m }), from(v0), { until_m: 2, longest_s: 10 })
          expect(largestMiss(rolled, (t) => speedSquared(t, v0, push, drag_per_m).s_m)).toBeLessThan(1e-9)
          const stop = speedSquaredStop(v0, push, drag_per_m)
          if (stop && stop.way_m < 1.999 && stop.time_s < 9.9) expect(last(rolled.s_m)).toBeCloseTo(stop.way_m, 9)
        },
      ),
      { numRuns: 60, seed: 12 },
    )
  })

  test('with constant acceleration, at any time between its steps and at any place', () => {
    const a = acceleration_m_s2({ slope_rad: degrees(2), k: 1.8, g_m_s2: g }, 0.008)
    const rolled = roll(lawOf(), from(0.2), { until_m: 0.7 })
    expect(rolled.end).toBe('reaches')
    expect(last(rolled.s_m)).toBe(0.7)
    for (const t of [0.00037, 0.5001, 1.2345])
      expect(stateAtTime(rolled, t).s_m).toBeCloseTo(constantAcceleration(t, 0.2, a).s_m, 11)
    const t = timeOfPlace(rolled, 0.4)!
    expect(t).toBeCloseTo((Math.sqrt(0.04 + 0.8 * a) - 0.2) / a, 10)
    expect(timeOfPlace(rolled, 0.8)).toBeNull()
  })
})

test('a standing ball is held by a resistance above the slope, and sets off below it', () => {
  expect(roll(lawOf({ resistance: 0.04 }), from(0), { until_m: 1 }).end).toBe('rests')
  const rolled = roll(lawOf({ resistance: 0.01 }), from(0), { until_m: 1 })
  const a = acceleration_m_s2({ slope_rad: degrees(2), k: 1.8, g_m_s2: g }, 0.01)
  expect(rolled.end).toBe('reaches')
  expect(last(rolled.t_s)).toBeCloseTo(Math.sqrt(2 / a), 9)
})

test('going up, a ball turns back where the slope outweighs the resistance, and rests where it does not', () => {
  expect(roll(lawOf({ slope_rad: -degrees(2), resistance: 0.01 }), from(0.3), { until_m: 1 }).end).toBe('turns-back')
  expect(roll(lawOf({ slope_rad: -degrees(0.4), resistance: 0.01 }), from(0.3), { until_m: 5 }).end).toBe('rests')
})

test('a slope that changes from stretch to stretch gives the energy of its height', () => {
  const stretches = [
    { until_m: 0.2137, slope_rad: degrees(3), resistance: 0.008 },
    { until_m: 0.4411, slope_rad: degrees(0.1), resistance: 0.012 },
    { until_m: Infinity, slope_rad: degrees(1.5), resistance: 0.006 },
  ]
  const rolled = roll(lawOf({ stretches }), from(0.2), { until_m: 0.7 })
  const borders = [0, 0.2137, 0.4411, 0.7]
  const gained = stretches.reduce(
    (sum, { slope_rad, resistance }, i) =>
      sum + g * (Math.sin(slope_rad) - resistance * Math.cos(slope_rad)) * (borders[i + 1]! - borders[i]!),
    0,
  )
  expect(last(rolled.v_m_s)).toBeCloseTo(Math.sqrt(0.04 + (2 * gained) / 1.8), 10)
})

test('in a slot that widens without resistance, height turns into motion and spin to the last bit', () => {
  const ball = { radius_m: 0.008 }
  const guideAt = (s_m: number) => ({ kind: 'slot' as const, gap_m: 0.006 + 0.008 * s_m })
  const at = (s_m: number) => {
    const change = guideChange(guideAt, ball, 0.5, s_m)
    if (change.kind !== 'changes') throw new Error(change.kind)
    return change
  }
  const rolled = roll(lawOf({ resistance: 0, slope_rad: degrees(1), k: at }), from(0.3), { until_m: 0.5 })
  // Heights of the centre above the edges: √(R² − w²/4), 1.171 mm apart; the path's length is the place along it.
  const fall = rolled.s_m.slice(1).reduce((sum, s, i) => {
    const middle = (s + rolled.s_m[i]!) / 2
    return sum + Math.sin(degrees(1) + at(middle).addedSlope_rad) * (s - rolled.s_m[i]!)
  }, 0)
  const energy = (s: number, v: number) => (at(s).k * v * v) / 2
  expect(energy(0.5, last(rolled.v_m_s)) - energy(0, 0.3)).toBeCloseTo(g * fall, 7)
  expect(fall - 0.5 * Math.sin(degrees(1))).toBeCloseTo(0.001171, 5)
})

describe('a measured run rolls once more with the handed-over values', () => {
  test('from perfect marks: every mark within 0.1 mm, transit time within 0.05 %', () => {
    const { record, book, result } = measuredLane()
    const runs = resimulateLane(record, book, result)
    expect(runs).toHaveLength(3)
    for (const run of runs) {
      if (run.kind !== 'resimulated') throw new Error(run.why)
      expect(run.end).toBe('reaches')
      expect(run.largest_m).toBeLessThan(1e-4)
      expect(run.atMarks.residual_m.length).toBeGreaterThan(20)
      expect(Math.abs(run.transit!.ratio - 1)).toBeLessThan(5e-4)
      expect(Math.abs(run.transit!.simulated.value - run.transit!.measured.value)).toBeLessThan(
        run.transit!.simulated.U,
      )
    }
  })

  test('where resistance grows with speed, with both parts', () => {
    const { record, book, result } = measuredLane({
      rate_per_s: 0.3,
      slope_rad: degrees(4),
      entries_m_s: [0.05, 0.06, 0.07],
    })
    expect(result.series[0]!.model.kind).toBe('dry-and-viscous')
    for (const run of resimulateLane(record, book, result)) {
      if (run.kind !== 'resimulated') throw new Error(run.why)
      expect(run.largest_m).toBeLessThan(1e-4)
      expect(Math.abs(run.transit!.ratio - 1)).toBeLessThan(5e-4)
    }
  })

  test('sent up the lane, against the lane line', () => {
    const { record, book, result } = measuredLane({ uphill: true })
    expect(result.series[0]!.travel).toBe(-1)
    for (const run of resimulateLane(record, book, result)) {
      if (run.kind !== 'resimulated') throw new Error(run.why)
      expect(run.s_m[0]!).toBeGreaterThan(run.s_m.at(-1)!)
      expect(run.largest_m).toBeLessThan(1e-4)
      expect(Math.abs(run.transit!.ratio - 1)).toBeLessThan(5e-4)
    }
  })

  test('a lane of unknown slope says what is missing instead', () => {
    const { record, book, result } = measuredLane({ slope: { kind: 'unknown' } })
    for (const run of resimulateLane(record, book, result)) {
      if (run.kind !== 'not-resimulated') throw new Error('it was rolled without a slope')
      expect(run.why).toContain('slope')
    }
  })

  test('a resistance that is wrong by a fifth shows in the marks', () => {
    const { record, book, result } = measuredLane()
    const wrong = { ...result, crr: { ...result.crr!, value: 1.2 * result.crr!.value } }
    const run = resimulateLane(record, book, wrong)[0]!
    if (run.kind !== 'resimulated') throw new Error(run.why)
    expect(run.largest_m).toBeGreaterThan(0.003)
    expect(run.transit!.ratio).toBeGreaterThan(1.005)
  })
})

describe('a lane whose slope changes along it', () => {
  // Heights fall by 30 mm over the first 0.33 m and by 15 mm over the rest.
  const bent = measuredLane({
    slope: {
      kind: 'along',
      stations: [
        { s_m: 0, height_m: 0.045 },
        { s_m: 0.33, height_m: 0.015 },
        { s_m: 0.66, height_m: 0 },
      ],
      height_m: { value: 0, sources: [] },
    },
  })
  const friction = laneFriction(bent.record, bent.book, bent.result)

  test('is rolled stretch by stretch, with the energy of its heights', () => {
    const law = laneLaw(friction)!
    expect(law.stretches.map(({ until_m }) => until_m)).toEqual([0.33, Infinity])
    expect(law.stretches[0]!.slope_rad).toBeCloseTo(Math.asin(0.03 / 0.33), 12)
    expect(law.stretches[1]!.slope_rad).toBeCloseTo(Math.asin(0.015 / 0.33), 12)
    const rolled = roll(law, from(0.2), { until_m: 0.66 })
    const lost =
      0.33 * friction.usable!.value * law.stretches.reduce((sum, { slope_rad }) => sum + Math.cos(slope_rad), 0)
    expect(last(rolled.v_m_s)).toBeCloseTo(Math.sqrt(0.04 + (2 * g * (0.045 - lost)) / 1.8), 9)
  })

  test('is said to be straightened in files that hold one straight lane', () => {
    const { forms } = simulatorForms(bent.record, bent.book, bent.result)
    const lane = forms.find(({ id }) => id === 'mjcf-lane')!
    expect(lane.validity.kind).toBe('limited')
    expect(lane.validity.why).toContain('slope changes along this lane')
  })
})

test('the slope’s ± does not widen the re-simulated time: C_rr was found with the same slope', () => {
  const { record } = measuredLane()
  record.sources['level'] = { id: 'level', name: 'level', unit: 'rad', distribution: { kind: 'normal', u: 0.002 } }
  record.mountings['on-A']!.slope = { kind: 'angle', angle_rad: { value: degrees(2), sources: ['level'] } }
  const book = sourceBookOf(record)
  const result = laneResults(record, book)[0]!
  const run = resimulateRun(record, book, result, 'run1')
  if (run.kind !== 'resimulated') throw new Error(run.why)
  expect(result.crr!.U).toBeGreaterThan(0.003)
  expect(run.transit!.simulated.effects.has('level')).toBe(false)
  expect(run.transit!.simulated.U / run.transit!.simulated.value).toBeLessThan(0.01)
})
