import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  distancePerTurn_m,
  inertiaFactor,
  inertiaFactorSlope,
  overRotation,
  rotationalShare,
} from '../../../workers/physics/ball.ts'
import {
  bendForces,
  hertzPivotArm_m,
  normalForces_N,
  resistanceOfContacts,
} from '../../../workers/physics/contact-forces.ts'
import { rollingGeometry, type Rides } from '../../../workers/physics/rolling-geometry.ts'
import { whyItDoesNotRide } from '../../../workers/physics/sentences.ts'
import type { GuideShape } from '../../../workers/physics/shapes.ts'

const ball = { radius_m: 0.008 }
const degrees = (angle: number) => (angle * Math.PI) / 180

function rides(guide: GuideShape, body = ball): Rides {
  const geometry = rollingGeometry(guide, body)
  if (geometry.kind !== 'rides') throw new Error(JSON.stringify(geometry))
  return geometry
}

const radius = fc.double({ min: 1e-3, max: 0.05, noNaN: true })
const anyGuide: fc.Arbitrary<GuideShape> = fc.oneof(
  fc.constant<GuideShape>({ kind: 'flat' }),
  fc.record({
    kind: fc.constant('v-groove' as const),
    included_rad: fc.double({ min: 0.1, max: 3.1, noNaN: true }),
    roll_rad: fc.double({ min: -1, max: 1, noNaN: true }),
    depth_m: fc.double({ min: 1e-4, max: 0.1, noNaN: true }),
  }),
  fc.record({
    kind: fc.constant('unequal-v' as const),
    left_rad: fc.double({ min: 0.05, max: 1.5, noNaN: true }),
    right_rad: fc.double({ min: 0.05, max: 1.5, noNaN: true }),
  }),
  fc.record({
    kind: fc.constant('two-rails' as const),
    railRadius_m: fc.double({ min: 1e-4, max: 0.01, noNaN: true }),
    centres_m: fc.double({ min: 1e-4, max: 0.1, noNaN: true }),
  }),
  fc.record({
    kind: fc.constant('slot' as const),
    gap_m: fc.double({ min: 1e-4, max: 0.1, noNaN: true }),
    depth_m: fc.double({ min: 1e-4, max: 0.05, noNaN: true }),
  }),
  fc.record({
    kind: fc.constant('channel' as const),
    radius_m: fc.double({ min: 1e-3, max: 0.1, noNaN: true }),
    depth_m: fc.double({ min: 1e-4, max: 0.05, noNaN: true }),
  }),
  fc.record({ kind: fc.constant('typed' as const), rollingRadius_m: fc.double({ min: 1e-4, max: 0.05, noNaN: true }) }),
)

describe('whatever the guide', () => {
  test('contacts lie on the ball, carry the weight, and give rolling radius and k', () => {
    let rode = 0
    fc.assert(
      fc.property(anyGuide, radius, fc.double({ min: 0, max: 0.99, noNaN: true }), (guide, R, hollow) => {
        const body = { radius_m: R, hollow }
        const geometry = rollingGeometry(guide, body)
        if (geometry.kind !== 'rides') {
          expect(whyItDoesNotRide(geometry)).not.toMatch(/NaN|undefined|no number/)
          return
        }
        rode++
        let across = 0
        let up = 0
        for (const { lateral_m, height_m, share } of geometry.contacts) {
          expect(Math.hypot(lateral_m, height_m) / R).toBeCloseTo(1, 12)
          expect(share).toBeGreaterThan(0)
          across -= (share * lateral_m) / R
          up -= (share * height_m) / R
        }
        expect(across).toBeCloseTo(0, 9)
        expect(up).toBeCloseTo(1, 9)
        const [first, last] = [geometry.contacts[0]!, geometry.contacts.at(-1)!]
        const chord = Math.hypot(first.lateral_m - last.lateral_m, first.height_m - last.height_m)
        expect(geometry.rollingRadius_m / R).toBeCloseTo(Math.sqrt(1 - (chord / 2 / R) ** 2), 6)
        expect(geometry.k).toBe(inertiaFactor(body, geometry.rollingRadius_m))
        expect(geometry.rollingRadius_m).toBeLessThanOrEqual(R)
      }),
      { seed: 41, numRuns: 2000 },
    )
    expect(rode).toBeGreaterThan(800)
  })

  test('the same shape at another scale rolls the same', () => {
    const guide = (scale: number): GuideShape => ({
      kind: 'two-rails',
      railRadius_m: 0.002 * scale,
      centres_m: 0.01 * scale,
    })
    expect(rides(guide(3), { radius_m: 0.024 }).k).toBeCloseTo(rides(guide(1)).k, 13)
  })
})

describe('V-grooves', () => {
  test('a roll of the groove changes forces, not rolling radius', () => {
    const upright = rides({ kind: 'v-groove', included_rad: degrees(90) })
    const rolled = rides({ kind: 'v-groove', included_rad: degrees(90), roll_rad: degrees(10) })
    expect(rolled.rollingRadius_m).toBeCloseTo(upright.rollingRadius_m, 15)
    // cos(α ∓ β)/sin 2α at α = 45°, β = 10°.
    expect(rolled.contacts[0]!.share).toBeCloseTo(0.81915, 5)
    expect(rolled.contacts[1]!.share).toBeCloseTo(0.57358, 5)
    // ΣN = cosβ/sinα.
    expect(rolled.normalForceSum).toBeCloseTo(Math.cos(degrees(10)) / Math.sin(degrees(45)), 12)
  })

  test('unequal walls are the equal groove of the mean angle, rolled by half the difference', () => {
    const unequal = rides({ kind: 'unequal-v', left_rad: degrees(55), right_rad: degrees(35) })
    const rolled = rides({ kind: 'v-groove', included_rad: degrees(90), roll_rad: degrees(10) })
    unequal.contacts.forEach((contact, i) => {
      expect(contact.share).toBeCloseTo(rolled.contacts[i]!.share, 12)
      expect(contact.lateral_m).toBeCloseTo(rolled.contacts[i]!.lateral_m, 12)
    })
    expect(unequal.centre!.lateral_m).toBeCloseTo(rolled.centre!.lateral_m, 12)
  })

  test('the ball leaves a wall when the groove rolls by more than 90° − α', () => {
    const at = (roll: number) =>
      rollingGeometry({ kind: 'v-groove', included_rad: degrees(90), roll_rad: degrees(roll) }, ball)
    expect(at(44.9).kind).toBe('rides')
    expect(at(45.1)).toMatchObject({ kind: 'leaves-wall', wall: 'right' })
    expect(at(-45.1)).toMatchObject({ kind: 'leaves-wall', wall: 'left' })
  })

  test('a groove too shallow for its walls is ridden on its edges, and both agree where they meet', () => {
    const reach = ball.radius_m * (1 / Math.sin(degrees(45)) - Math.sin(degrees(45)))
    const groove = (depth_m: number): GuideShape => ({ kind: 'v-groove', included_rad: degrees(90), depth_m })
    expect(rides(groove(reach * 1.001)).on).toBe('walls')
    const shallow = rides(groove(reach * 0.999))
    expect(shallow.on).toBe('edges')
    expect(shallow.rollingRadius_m / rides(groove(1)).rollingRadius_m).toBeCloseTo(1, 2)
    expect(rides(groove(0.001)).rollingRadius_m).toBeCloseTo(rides({ kind: 'slot', gap_m: 0.002 }).rollingRadius_m, 12)
  })

  test('contacts lie on the walls: lateral R·cosα, height R(1/sinα − sinα) above the apex', () => {
    const { contacts, centre } = rides({ kind: 'v-groove', included_rad: degrees(60) })
    expect(contacts[1]!.lateral_m).toBeCloseTo(0.008 * Math.cos(degrees(30)), 14)
    expect(centre!.height_m + contacts[1]!.height_m).toBeCloseTo(0.008 * (2 - 0.5), 14)
  })
})

describe('slots, channels, rails, typed radii', () => {
  test('a slot too shallow for its edges is flat', () => {
    const sag = 0.008 - Math.sqrt(0.008 ** 2 - 0.005 ** 2)
    expect(rides({ kind: 'slot', gap_m: 0.01, depth_m: sag * 1.01 })).toMatchObject({ on: 'edges' })
    const flat = rides({ kind: 'slot', gap_m: 0.01, depth_m: sag * 0.99 })
    expect(flat).toMatchObject({ on: 'floor', rollingRadius_m: 0.008 })
    expect(flat.centre!.height_m).toBeCloseTo(0.008 - sag * 0.99, 15)
  })

  test('a slot wider than the ball is a channel if it has a floor, a hole if not', () => {
    expect(rides({ kind: 'slot', gap_m: 0.02, depth_m: 0.003 })).toMatchObject({ on: 'floor', k: 1.4 })
    expect(rollingGeometry({ kind: 'slot', gap_m: 0.016 }, ball)).toMatchObject({ kind: 'falls-through' })
  })

  test('a round channel carries a smaller ball on its bottom, a larger one on its edges', () => {
    expect(rides({ kind: 'channel', radius_m: 0.01 })).toMatchObject({ on: 'floor', rollingRadius_m: 0.008 })
    expect(rollingGeometry({ kind: 'channel', radius_m: 0.006 }, ball)).toMatchObject({ kind: 'too-narrow' })
    const half = rides({ kind: 'channel', radius_m: 0.006, depth_m: 0.006 })
    expect(half).toMatchObject({ on: 'edges' })
    expect(half.rollingRadius_m).toBeCloseTo(Math.sqrt(0.008 ** 2 - 0.006 ** 2), 14)
  })

  test('rails must not overlap nor let the ball through', () => {
    expect(rollingGeometry({ kind: 'two-rails', railRadius_m: 0.002, centres_m: 0.003 }, ball).kind).toBe(
      'rails-overlap',
    )
    expect(rollingGeometry({ kind: 'two-rails', railRadius_m: 0.002, centres_m: 0.0201 }, ball).kind).toBe(
      'falls-through',
    )
    expect(rides({ kind: 'two-rails', railRadius_m: 0.002, centres_m: 0.0199 }).rollingRadius_m).toBeLessThan(0.0015)
  })

  test('a typed radius gives back itself, the ball’s own radius one contact', () => {
    expect(rides({ kind: 'typed', rollingRadius_m: 0.0057 }).rollingRadius_m).toBeCloseTo(0.0057, 15)
    expect(rides({ kind: 'typed', rollingRadius_m: 0.008 }).contacts).toHaveLength(1)
    expect(rollingGeometry({ kind: 'typed', rollingRadius_m: 0.009 }, ball).kind).toBe('larger-than-ball')
  })

  test('sizes that are none are named with their value', () => {
    for (const guide of [
      { kind: 'v-groove', included_rad: 0 },
      { kind: 'v-groove', included_rad: Math.PI },
      { kind: 'v-groove', included_rad: 1, depth_m: -1 },
      { kind: 'unequal-v', left_rad: 1, right_rad: 1.6 },
      { kind: 'two-rails', railRadius_m: 0, centres_m: 0.01 },
      { kind: 'slot', gap_m: NaN },
      { kind: 'channel', radius_m: -0.01 },
      { kind: 'typed', rollingRadius_m: 0 },
    ] as const) {
      const outcome = rollingGeometry(guide, ball)
      expect(outcome.kind).toBe('not-a-size')
      if (outcome.kind === 'not-a-size') expect(whyItDoesNotRide(outcome)).toMatch(/no possible value/)
    }
    expect(rollingGeometry({ kind: 'flat' }, { radius_m: 0 })).toMatchObject({
      kind: 'not-a-size',
      which: 'ball radius',
    })
    expect(rollingGeometry({ kind: 'flat' }, { radius_m: 1, hollow: 1 }).kind).toBe('not-a-size')
  })
})

describe('the ball', () => {
  test('rotational share and over-rotation in a V of 90°', () => {
    const { k, rollingRadius_m } = rides({ kind: 'v-groove', included_rad: degrees(90) })
    expect(rotationalShare(k)).toBeCloseTo(0.4444, 4)
    expect(overRotation(ball, rollingRadius_m)).toBeCloseTo(Math.SQRT2, 12)
    expect(distancePerTurn_m(rollingRadius_m)).toBeCloseTo(0.03554, 5)
  })

  test('the slope of k by the rolling radius is its derivative', () => {
    const numeric = (inertiaFactor(ball, 0.006 + 1e-7) - inertiaFactor(ball, 0.006 - 1e-7)) / 2e-7
    expect(inertiaFactorSlope(ball, 0.006) / numeric).toBeCloseTo(1, 7)
  })
})

describe('forces', () => {
  test('weights of both contacts in a V: m·g·cosθ/(2·sinα) each', () => {
    const forces = normalForces_N(rides({ kind: 'v-groove', included_rad: degrees(60) }), {
      mass_kg: 0.0168,
      slope_rad: degrees(5),
      g_m_s2: 9.81,
    })
    forces.forEach((force) => expect(force).toBeCloseTo(0.0168 * 9.81 * Math.cos(degrees(5)), 12))
  })

  test('in a level bend the total force in a V stays m·g/sinα until a wall is left', () => {
    const groove = rides({ kind: 'v-groove', included_rad: degrees(100) })
    for (const lateral of [-0.5, 0, 0.3, 0.8]) {
      const bend = bendForces(groove, lateral)
      if (bend.kind !== 'holds') throw new Error(bend.kind)
      expect((bend.shares[0]! + bend.shares[1]!) * Math.sin(degrees(50))).toBeCloseTo(1, 12)
      // Balance across the lane: the difference bends the path, N·cosα each.
      expect((bend.shares[0]! - bend.shares[1]!) * Math.cos(degrees(50))).toBeCloseTo(lateral, 12)
    }
    const limit = Math.tan(degrees(40))
    expect(bendForces(groove, limit * 1.001)).toMatchObject({
      kind: 'leaves-guide',
      limit_g: expect.closeTo(limit, 12),
    })
    expect(bendForces(rides({ kind: 'flat' }), 0.1)).toEqual({ kind: 'leaves-guide', limit_g: 0 })
  })

  test('resistance from rolling and pivot arms (derived values: b = 40 µm, λ = 10 µm)', () => {
    const arms = { rolling_m: 40e-6, pivot_m: 10e-6 }
    for (const [guide, expected] of [
      [{ kind: 'flat' }, 0.005],
      [{ kind: 'v-groove', included_rad: degrees(90) }, 0.0088388],
      [{ kind: 'v-groove', included_rad: degrees(120) }, 0.0066068],
    ] as const)
      expect(resistanceOfContacts(rides(guide), 0.008, arms)).toBeCloseTo(expected, 7)
  })

  test('the pivot arm is the mean lever of Coulomb friction under Hertz pressure', () => {
    // Integrated anew: ∫ r·p dA / N with p ∝ √(1 − r²) over the unit circle.
    let moment = 0
    let force = 0
    for (let i = 0; i < 100_000; i++) {
      const r = (i + 0.5) / 100_000
      const p = Math.sqrt(1 - r * r)
      moment += r * p * r
      force += p * r
    }
    const circle = Math.cbrt((3 * 0.12 * 0.008) / (4 * 1e9))
    expect(hertzPivotArm_m(0.12, 0.008, 1e9, 0.4) / (0.4 * circle)).toBeCloseTo(moment / force, 6)
  })
})
