import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { momentRatio } from '../../../workers/physics/ball.ts'
import { AIR_DENSITY_KG_M3, airDrag_per_m, resistanceOfAir } from '../../../workers/physics/air-drag.ts'
import { guideChange } from '../../../workers/physics/changing-guide.ts'
import {
  energyBalance_J,
  exitSpeedSlope_m_s,
  heightReserve_m,
  laneExit,
  lossShare,
  rollingEnergy_J,
} from '../../../workers/physics/energy.ts'
import {
  accelerationOfThreeGates,
  accelerationOfTwoGates_m_s2,
  coastDown,
  frameIntervalUncertainty_s,
  resistanceOfEnergy,
} from '../../../workers/physics/estimators.ts'
import { ballMaterials, standardDiameters } from '../../../workers/physics/materials.ts'
import {
  acceleration_m_s2,
  accelerationInChangingGuide_m_s2,
  balanceSlope_rad,
  freeRolling_m_s2,
  resistance,
  resistanceSensitivities,
  twoWay,
} from '../../../workers/physics/motion.ts'
import { gapPassage, stepPassage } from '../../../workers/physics/obstacles.ts'
import {
  ballsOnLane,
  capacity_per_s,
  impactOnResting,
  releaseInterval_s,
  standardisedClearance,
} from '../../../workers/physics/queue.ts'
import { rollingGeometry, type Rides } from '../../../workers/physics/rolling-geometry.ts'
import type { GuideShape } from '../../../workers/physics/shapes.ts'
import { fullSlip_m_s2, leastFriction } from '../../../workers/physics/slip.ts'
import { launchWithoutSpin, transition } from '../../../workers/physics/transition.ts'

const g = 9.80665
const ball = { radius_m: 0.008 }
const degrees = (angle: number) => (angle * Math.PI) / 180
const v = (included: number): GuideShape => ({ kind: 'v-groove', included_rad: degrees(included) })

function rides(guide: GuideShape): Rides {
  const geometry = rollingGeometry(guide, ball)
  if (geometry.kind !== 'rides') throw new Error(geometry.kind)
  return geometry
}

describe('resistance and acceleration', () => {
  const setting = fc.record({
    slope_rad: fc.double({ min: -0.7, max: 0.7, noNaN: true }),
    k: fc.double({ min: 1.4, max: 4, noNaN: true }),
    g_m_s2: fc.double({ min: 9.78, max: 9.83, noNaN: true }),
  })

  test('undo each other, negative resistances and decelerations included', () => {
    fc.assert(
      fc.property(setting, fc.double({ min: -0.1, max: 0.1, noNaN: true }), (at, c) => {
        expect(resistance(at, acceleration_m_s2(at, c))).toBeCloseTo(c, 13)
      }),
      { seed: 2, numRuns: 300 },
    )
  })

  test('sensitivities are the derivatives', () => {
    fc.assert(
      fc.property(setting, fc.double({ min: -2, max: 2, noNaN: true }), (at, a) => {
        const s = resistanceSensitivities(at, a)
        const slope = (change: (h: number) => number) => (change(1e-6) - change(-1e-6)) / 2e-6
        expect(s.bySlope_per_rad).toBeCloseTo(
          slope((h) => resistance({ ...at, slope_rad: at.slope_rad + h }, a)),
          7,
        )
        expect(s.byK).toBeCloseTo(
          slope((h) => resistance({ ...at, k: at.k + h }, a)),
          7,
        )
        expect(s.byG_s2_m).toBeCloseTo(
          slope((h) => resistance({ ...at, g_m_s2: at.g_m_s2 + h }, a)),
          7,
        )
        expect(s.byAcceleration_s2_m).toBeCloseTo(
          slope((h) => resistance(at, a + h)),
          7,
        )
      }),
      { seed: 3, numRuns: 200 },
    )
  })

  test('worked values at 2° (recomputed independently)', () => {
    const at = (k: number) => ({ slope_rad: degrees(2), k, g_m_s2: g })
    expect(freeRolling_m_s2(at(1.4))).toBeCloseTo(0.24446, 5)
    expect(freeRolling_m_s2(at(1.8))).toBeCloseTo(0.19014, 5)
    expect(freeRolling_m_s2(at(2.6))).toBeCloseTo(0.13163, 5)
    expect(resistance(at(1.8), 0.16)).toBeCloseTo(0.005535, 6)
    expect(acceleration_m_s2(at(1.8), Math.tan(degrees(2)))).toBeCloseTo(0, 15)
    expect(balanceSlope_rad(Math.tan(degrees(2)))).toBeCloseTo(degrees(2), 15)
  })

  test('two ways give back slope and resistance', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.002, max: 0.3, noNaN: true }),
        fc.double({ min: 0, max: 0.05, noNaN: true }),
        fc.double({ min: 1.4, max: 3, noNaN: true }),
        (slope_rad, c, k) => {
          const down = acceleration_m_s2({ slope_rad, k, g_m_s2: g }, c)
          const up = -acceleration_m_s2({ slope_rad: -slope_rad, k, g_m_s2: g }, c)
          const result = twoWay(down, up, k, g)!
          expect(result.slope_rad).toBeCloseTo(slope_rad, 12)
          expect(result.resistance).toBeCloseTo(c, 12)
        },
      ),
      { seed: 4, numRuns: 200 },
    )
    expect(twoWay(20, 20, 1.4, g)).toBeNull()
  })

  test('gates and energy (recomputed independently)', () => {
    expect(accelerationOfTwoGates_m_s2(0.2, 0.8, 1.154701)).toBeCloseTo(0.3, 6)
    const three = accelerationOfThreeGates(0.3, 0.627106, 0.9, 1.524099)
    expect(three.a_m_s2).toBeCloseTo(0.25, 5)
    expect(three.v0_m_s * 0.627106 + (three.a_m_s2 * 0.627106 ** 2) / 2).toBeCloseTo(0.3, 12)
    expect(frameIntervalUncertainty_s(240)).toBeCloseTo(0.0017, 5)
    expect(resistanceOfEnergy(0.8 * Math.sin(degrees(2)), 0.8 * Math.cos(degrees(2)), 1.8, 0.484279, g)).toBeCloseTo(
      0.008,
      6,
    )
    const level = coastDown(1.4, 0.004, 0.5, g)
    expect(level.way_m).toBeCloseTo(4.4613, 4)
    expect(level.time_s).toBeCloseTo(17.845, 3)
  })
})

describe('air', () => {
  test('adds what is known for steel and glass (recomputed independently at 1.2 kg/m³)', () => {
    const drag = (mass_kg: number, radius_m = 0.008) =>
      airDrag_per_m({ radius_m, mass_kg, k: 1.4, airDensity_kg_m3: 1.2 })
    expect(drag(0.016793)).toBeCloseTo(0.00241, 5)
    expect(drag(0.005362)).toBeCloseTo(0.00755, 5)
    expect(resistanceOfAir(drag(0.016793), 1, { k: 1.4, g_m_s2: g })).toBeCloseTo(3.44e-4, 6)
    expect(resistanceOfAir(drag(0.005362), 1, { k: 1.4, g_m_s2: g })).toBeCloseTo(1.08e-3, 5)
    expect(resistanceOfAir(drag(0.0020991, 0.004), 1, { k: 1.4, g_m_s2: g })).toBeCloseTo(6.9e-4, 5)
    expect(AIR_DENSITY_KG_M3).toBeCloseTo(101325 / (287.05 * 293.15), 3)
  })
})

describe('slip', () => {
  test('least friction: tanθ times 0.2857 flat, 0.3012 at 120°, 0.3143 at 90°, 0.3077 at 60°', () => {
    const at = { slope_rad: degrees(7), g_m_s2: g }
    for (const [guide, factor] of [
      [{ kind: 'flat' }, 0.2857],
      [v(120), 0.3012],
      [v(90), 0.3143],
      [v(60), 0.3077],
    ] as const)
      expect(leastFriction(rides(guide), at) / Math.tan(degrees(7))).toBeCloseTo(factor, 4)
  })

  test('at the least friction, slipping and rolling accelerate alike', () => {
    const at = { slope_rad: degrees(12), g_m_s2: g }
    for (const guide of [{ kind: 'flat' } as const, v(120), v(90), v(60)]) {
      const geometry = rides(guide)
      const rolling = freeRolling_m_s2({ ...at, k: geometry.k })
      expect(fullSlip_m_s2(geometry, at, leastFriction(geometry, at))).toBeCloseTo(rolling, 12)
    }
    const ratio = (guide: GuideShape) =>
      fullSlip_m_s2(rides(guide), at, 0.95 * leastFriction(rides(guide), at)) /
      freeRolling_m_s2({ ...at, k: rides(guide).k })
    expect(ratio({ kind: 'flat' })).toBeCloseTo(1.02, 2)
    expect(ratio(v(90))).toBeCloseTo(1.04, 2)
  })
})

describe('changes of guide', () => {
  test('V to flat and back (recomputed independently by simulation)', () => {
    for (const [included, out, kept, back] of [
      [120, 1.0442, 0.9955, 0.9534],
      [90, 1.1183, 0.9728, 0.8698],
      [60, 1.2857, 0.8901, 0.6923],
    ] as const) {
      const s = Math.sin(degrees(included / 2))
      expect(transition(s, 1, 0.4).speedRatio).toBeCloseTo(out, 4)
      expect(transition(s, 1, 0.4).energyKept).toBeCloseTo(kept, 4)
      expect(transition(1, s, 0.4).speedRatio).toBeCloseTo(back, 4)
    }
  })

  test('never gain energy, and lose none when nothing changes', () => {
    const ratio = fc.double({ min: 0.05, max: 1, noNaN: true })
    fc.assert(
      fc.property(ratio, ratio, fc.double({ min: 0, max: 1, noNaN: true }), (before, after, hollow) => {
        const { energyKept } = transition(before, after, momentRatio(hollow))
        expect(energyKept).toBeLessThanOrEqual(1 + 1e-12)
        expect(transition(before, before, momentRatio(hollow)).speedRatio).toBeCloseTo(1, 12)
      }),
      { seed: 5, numRuns: 300 },
    )
    expect(launchWithoutSpin(1.4).speedRatio).toBeCloseTo(5 / 7, 14)
  })

  test('a slot that widens from 6 to 10 mm over half a metre lets the centre sink by 1.171 mm (recomputed)', () => {
    const guideAt = (s: number): GuideShape => ({ kind: 'slot', gap_m: 0.006 + 0.008 * s })
    let sunk = 0
    let growth = 0
    for (let i = 0; i < 100; i++) {
      const change = guideChange(guideAt, ball, 0.5, (i + 0.5) * 0.005)
      if (change.kind !== 'changes') throw new Error(change.kind)
      sunk += Math.tan(change.addedSlope_rad) * 0.005
      growth += change.kGrowth_per_m * 0.005
    }
    expect(sunk).toBeCloseTo(0.001171, 6)
    expect(sunk / 0.5).toBeCloseTo(0.00234, 5)
    expect(growth).toBeCloseTo(rides(guideAt(0.5)).k - rides(guideAt(0)).k, 4)
  })

  test('a widening guide conserves energy without resistance', () => {
    // Level lane, slot from 6 to 12 mm: steps along the way must keep ½kv² + g·height.
    const length = 0.5
    const guideAt = (s: number): GuideShape => ({ kind: 'slot', gap_m: 0.006 + 0.012 * s })
    const heightAt = (s: number) => rides(guideAt(s)).centre!.height_m
    let [s, speed] = [0, 0.3]
    const energy = () => (rides(guideAt(s)).k * speed ** 2) / 2 + g * heightAt(s)
    const before = energy()
    const dt = 1e-4
    const a = (at: number, w: number) => {
      const change = guideChange(guideAt, ball, length, at)
      if (change.kind !== 'changes') throw new Error(change.kind)
      return accelerationInChangingGuide_m_s2(
        { slope_rad: change.addedSlope_rad, k: change.k, g_m_s2: g },
        0,
        w,
        change.kGrowth_per_m,
      )
    }
    while (s < length) {
      const middle = speed + (a(s, speed) * dt) / 2
      const next = speed + a(s + (speed * dt) / 2, middle) * dt
      s += ((speed + next) / 2) * dt
      speed = next
    }
    // The path's length and its projection differ in second order of a slope of a few thousandths.
    expect(energy() / before).toBeCloseTo(1, 5)
  })
})

describe('obstacles', () => {
  const kappa = 0.4

  test('gaps and steps of a 16 mm ball (derived values)', () => {
    const slope = (passage: ReturnType<typeof gapPassage>) => (passage!.startSlope_rad * 180) / Math.PI
    expect(slope(gapPassage(0.0002, 0.008, kappa, g))).toBeCloseTo(0.72, 2)
    expect(slope(gapPassage(0.0005, 0.008, kappa, g))).toBeCloseTo(1.79, 2)
    expect(slope(gapPassage(0.001, 0.008, kappa, g))).toBeCloseTo(3.58, 2)
    expect(gapPassage(0.001, 0.008, kappa, g)!.speedRatio).toBeCloseTo(0.9944, 4)
    expect(slope(stepPassage(1e-5, 0.008, kappa, g))).toBeCloseTo(2.87, 2)
    expect(slope(stepPassage(5e-5, 0.008, kappa, g))).toBeCloseTo(6.41, 2)
    expect(slope(stepPassage(1e-4, 0.008, kappa, g))).toBeCloseTo(9.07, 2)
    expect(stepPassage(5e-5, 0.008, kappa, g)!.leastSpeed_m_s).toBeCloseTo(0.0266, 4)
  })

  test('nothing is lost where there is nothing to pass; what cannot be passed is said', () => {
    expect(gapPassage(0, 0.008, kappa, g)).toEqual({ startSlope_rad: 0, speedRatio: 1, leastSpeed_m_s: 0 })
    expect(stepPassage(0, 0.008, kappa, g)).toEqual({ startSlope_rad: 0, speedRatio: 1, leastSpeed_m_s: 0 })
    expect(gapPassage(0.016, 0.008, kappa, g)).toBeNull()
    expect(stepPassage(0.008, 0.008, kappa, g)).toBeNull()
    expect(gapPassage(0.0155, 0.008, kappa, g)!.leastSpeed_m_s).toBe(Infinity)
  })

  test('a gap passed at its least speed is just passed: energy over both edges', () => {
    const passage = gapPassage(0.004, 0.008, kappa, g)!
    const drop = 0.008 * (1 - Math.cos(Math.asin(0.25)))
    const bottom = passage.leastSpeed_m_s ** 2 + (2 * g * drop) / 1.4
    expect(bottom * passage.speedRatio ** 2).toBeCloseTo((2 * g * drop) / 1.4, 12)
  })
})

describe('what leaves a lane', () => {
  const setting = { slope_rad: degrees(2), k: 1.8, g_m_s2: g }

  test('speed, time and energies at 2°, 0.8 m, c = 0.008 in a V of 90° (recomputed independently)', () => {
    const exit = laneExit(setting, 0.008, 0.8, 0)
    if (exit.kind !== 'leaves') throw new Error(exit.kind)
    expect(exit.acceleration_m_s2).toBeCloseTo(0.146579, 6)
    expect(exit.time_s).toBeCloseTo(3.3039, 4)
    expect(exit.speed_m_s).toBeCloseTo(0.484279, 6)
    const energy = rollingEnergy_J(0.016793, 1.8, exit.speed_m_s)
    const balance = energyBalance_J(setting, 0.008, 0.016793, 0.8)
    expect(energy.total * 1000).toBeCloseTo(3.545, 3)
    expect(energy.rotation * 1000).toBeCloseTo(1.575, 3)
    expect(balance.fromHeight * 1000).toBeCloseTo(4.598, 3)
    expect(balance.gained).toBeCloseTo(energy.total, 12)
    expect(balance.gained / balance.fromHeight).toBeCloseTo(0.771, 3)
    expect(lossShare(setting.slope_rad, 0.008)).toBeCloseTo(1 - 0.771, 3)
    expect(exitSpeedSlope_m_s(setting, 0.8, exit.speed_m_s) * -0.0005).toBeCloseTo(0.0045, 4)
  })

  test('a ball that stops says where', () => {
    expect(laneExit(setting, 0.05, 0.8, 0.1)).toMatchObject({ kind: 'stops' })
    const stop = laneExit({ ...setting, slope_rad: 0, k: 1.4 }, 0.004, 100, 0.5)
    if (stop.kind !== 'stops') throw new Error(stop.kind)
    expect(stop.way_m).toBeCloseTo(4.4613, 4)
    expect(laneExit(setting, 0.05, 0.8, 0)).toEqual({ kind: 'stops', way_m: 0 })
    expect(lossShare(0, 0.01)).toBeNull()
  })

  test('0.3 m/s on the flat is a reserve of 6.42 mm', () => {
    expect(heightReserve_m(1.4, 0.3, g) * 1000).toBeCloseTo(6.42, 2)
  })
})

describe('a queue of balls', () => {
  test('capacity, release, Little, clearance (recomputed independently)', () => {
    expect(capacity_per_s(0.4, 0.008)).toBeCloseTo(25, 12)
    expect(releaseInterval_s(0.008, 0.3)).toBeCloseTo(0.3266, 4)
    expect(ballsOnLane(3, 2.5)).toBe(7.5)
    for (const [interval, z] of [
      [0.08, 1.4142],
      [0.1, 2.1213],
      [0.15, 3.8891],
    ] as const)
      expect(standardisedClearance(interval, 0.4, 0.008, 0.02)).toBeCloseTo(z, 4)
  })

  test('a rolling ball passes on 5/7 of its speed on the flat and keeps 2/7', () => {
    expect(impactOnResting(1.4).striker).toBeCloseTo(2 / 7, 14)
    expect(impactOnResting(1.4).struck).toBeCloseTo(5 / 7, 14)
    expect(impactOnResting(1.4).energyKept).toBeCloseTo(0.5918, 4)
    expect(impactOnResting(1.8).energyKept).toBeCloseTo(0.506, 3)
  })
})

describe('tables', () => {
  test('every material says where its density comes from; diameters rise', () => {
    for (const { density_kg_m3, spread_kg_m3, source } of ballMaterials) {
      expect(spread_kg_m3).toBeLessThan(0.15 * density_kg_m3)
      expect(source.length).toBeGreaterThan(10)
    }
    const sizes = standardDiameters.map(({ diameter_m }) => diameter_m)
    expect([...sizes].sort((a, b) => a - b)).toEqual(sizes)
    expect(standardDiameters.find(({ label }) => label.includes('5/8'))?.label).toBe('15.875 mm (5/8 in)')
  })
})
