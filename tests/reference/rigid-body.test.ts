import { describe, expect, test } from 'vitest'
import { momentRatio } from '../../workers/physics/ball.ts'
import { bendForces } from '../../workers/physics/contact-forces.ts'
import { acceleration_m_s2 } from '../../workers/physics/motion.ts'
import { rollingGeometry, type Rides } from '../../workers/physics/rolling-geometry.ts'
import type { BallBody, GuideShape } from '../../workers/physics/shapes.ts'
import { fullSlip_m_s2, leastFriction } from '../../workers/physics/slip.ts'
import { launchWithoutSpin, transition } from '../../workers/physics/transition.ts'
import { rollInEngine, type RollExperiment } from './support/rigid-body.ts'

// Source: MuJoCo 3.14 (package @mujoco/mujoco), an independent rigid-body engine with contact and Coulomb friction. It is
// given shapes, mass, friction and gravity only. The engine's own step error at these settings is below 0.02 %.

const ball: BallBody = { radius_m: 0.008 }
const degrees = (angle: number) => (angle * Math.PI) / 180
const setting = { slope_rad: degrees(3), g_m_s2: 9.80665 }
const experiment = (guide: GuideShape, more: Partial<RollExperiment> = {}): RollExperiment => ({
  guide,
  ball,
  ...setting,
  friction: 0.6,
  duration_s: 0.4,
  settle_s: 0.1,
  step_s: 2e-4,
  ...more,
})

function rides(guide: GuideShape, body = ball): Rides {
  const geometry = rollingGeometry(guide, body)
  if (geometry.kind !== 'rides') throw new Error(geometry.kind)
  return geometry
}

const guides: Readonly<Record<string, GuideShape>> = {
  flat: { kind: 'flat' },
  'V-groove of 120°': { kind: 'v-groove', included_rad: degrees(120) },
  'V-groove of 90°': { kind: 'v-groove', included_rad: degrees(90) },
  'V-groove of 60°': { kind: 'v-groove', included_rad: degrees(60) },
  'V-groove of 90° rolled by 10°': { kind: 'v-groove', included_rad: degrees(90), roll_rad: degrees(10) },
  'V of 35° and 55° walls': { kind: 'unequal-v', left_rad: degrees(35), right_rad: degrees(55) },
  'rails of 4 mm, 10 mm apart': { kind: 'two-rails', railRadius_m: 0.002, centres_m: 0.01 },
  'slot of 10 mm': { kind: 'slot', gap_m: 0.01 },
}

describe('a rigid-body engine rolls the same', () => {
  test.each(Object.keys(guides))('%s: acceleration and rolling radius within 0.1 %%', async (name) => {
    const guide = guides[name]!
    const geometry = rides(guide)
    const result = await rollInEngine(experiment(guide))
    const expected = acceleration_m_s2({ ...setting, k: geometry.k }, 0)
    expect(Math.abs(result.acceleration_m_s2 / expected - 1)).toBeLessThan(0.001)
    expect(Math.abs(result.rollingRatio - 1)).toBeLessThan(0.001)
  })

  test.each([0.6, 0.9, 0.98])('hollow balls, inner over outer radius %d, on the flat and in a V', async (hollow) => {
    const body = { ...ball, hollow }
    for (const guide of [guides.flat!, guides['V-groove of 90°']!]) {
      const result = await rollInEngine(experiment(guide, { ball: body }))
      const expected = acceleration_m_s2({ ...setting, k: rides(guide, body).k }, 0)
      expect(Math.abs(result.acceleration_m_s2 / expected - 1)).toBeLessThan(0.001)
    }
  })

  test('the least friction for rolling separates rolling from slipping, in equal and unequal grooves', async () => {
    const steep = { slope_rad: degrees(20), g_m_s2: 9.80665 }
    for (const guide of [guides.flat!, guides['V-groove of 90°']!, guides['V of 35° and 55° walls']!]) {
      const least = leastFriction(rides(guide), steep)
      const grips = await rollInEngine(experiment(guide, { ...steep, friction: least * 1.05 }))
      const slips = await rollInEngine(experiment(guide, { ...steep, friction: least * 0.95 }))
      expect(grips.rollingRatio).toBeGreaterThan(0.999)
      expect(slips.rollingRatio).toBeLessThan(0.995)
    }
  })

  test('normal forces are the stated shares of the weight', async () => {
    // Read from a ball that slides: friction then acts along the lane and cannot wedge the ball between the walls.
    const steep = { slope_rad: degrees(25), g_m_s2: 9.80665 }
    for (const guide of Object.values(guides)) {
      const result = await rollInEngine(experiment(guide, { ...steep, friction: 0.001 }))
      const { contacts } = rides(guide)
      expect(result.contactShares).toHaveLength(contacts.length)
      contacts.forEach(({ share }, i) => expect(Math.abs(result.contactShares[i]! / share - 1)).toBeLessThan(0.005))
    }
  })

  test('a ball that slips at all contacts accelerates as stated', async () => {
    const steep = { slope_rad: degrees(25), g_m_s2: 9.80665 }
    for (const guide of [guides.flat!, guides['V-groove of 90°']!]) {
      const result = await rollInEngine(experiment(guide, { ...steep, friction: 0.05 }))
      expect(Math.abs(result.acceleration_m_s2 / fullSlip_m_s2(rides(guide), steep, 0.05) - 1)).toBeLessThan(0.001)
    }
  })

  test('a ball set down without spin rolls on at v/k', async () => {
    for (const guide of [guides.flat!, guides['V-groove of 120°']!, guides['V-groove of 60°']!]) {
      const start = { speed_m_s: 0.4, spin_rad_s: 0 }
      const result = await rollInEngine(experiment(guide, { slope_rad: 0, start, friction: 0.3 }))
      expect(result.speed_m_s / 0.4 / launchWithoutSpin(rides(guide).k).speedRatio).toBeCloseTo(1, 2)
      expect(result.rollingRatio).toBeCloseTo(1, 3)
    }
  })

  test('the spin of a V, carried onto the flat and back, gives the stated speeds', async () => {
    const groove = guides['V-groove of 90°']!
    const s = rides(groove).rollingRadius_m / ball.radius_m
    const onFlat = { speed_m_s: 0.4, spin_rad_s: 0.4 / rides(groove).rollingRadius_m }
    const out = await rollInEngine(experiment(guides.flat!, { slope_rad: 0, start: onFlat, friction: 0.3 }))
    expect(out.speed_m_s / 0.4).toBeCloseTo(transition(s, 1, momentRatio()).speedRatio, 3)
    const inGroove = { speed_m_s: 0.4, spin_rad_s: 0.4 / ball.radius_m }
    const back = await rollInEngine(experiment(groove, { slope_rad: 0, start: inGroove, friction: 0.3 }))
    expect(back.speed_m_s / 0.4).toBeCloseTo(transition(1, s, momentRatio()).speedRatio, 3)
  })

  test('forces in a bend are those of a groove that leans as gravity seems to', () => {
    // A steady bend of v²/(ρg) = tan 10° to the right presses like a groove rolled by 10° with gravity 1/cos 10°: the
    // rolled groove above is the engine's word on it.
    const bend = bendForces(rides(guides['V-groove of 90°']!), Math.tan(degrees(10)))
    const rolled = rides(guides['V-groove of 90° rolled by 10°']!)
    if (bend.kind !== 'holds') throw new Error(bend.kind)
    bend.shares.forEach((share, i) => expect(share * Math.cos(degrees(10))).toBeCloseTo(rolled.contacts[i]!.share, 12))
  })
})
