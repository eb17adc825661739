import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { inertiaFactor, massFromDensity_kg, momentRatio, turnsPerMetre } from '../../workers/physics/ball.ts'
import { localGravity_m_s2 } from '../../workers/physics/gravity.ts'
import { acceleration_m_s2 } from '../../workers/physics/motion.ts'
import { rollingGeometry } from '../../workers/physics/rolling-geometry.ts'
import type { GuideShape } from '../../workers/physics/shapes.ts'

interface Computed {
  readonly k_factor: Readonly<Record<string, { readonly re_over_R: number; readonly k: number }>>
  readonly masses_g: Readonly<Record<string, { readonly 'steel7.83': number; readonly 'glass2.5': number }>>
}

// Source: computed independently with numpy, as the file itself says.
const computed = JSON.parse(
  readFileSync(new URL('./data/computed-with-scipy.json', import.meta.url), 'utf8'),
) as Computed
const ball = { radius_m: 0.008 }
const degrees = (angle: number) => (angle * Math.PI) / 180

const guides: Readonly<Record<string, GuideShape>> = {
  flat: { kind: 'flat' },
  V120: { kind: 'v-groove', included_rad: degrees(120) },
  V90: { kind: 'v-groove', included_rad: degrees(90) },
  V60: { kind: 'v-groove', included_rad: degrees(60) },
  edges_w6_R8: { kind: 'slot', gap_m: 0.006 },
  edges_w10_R8: { kind: 'slot', gap_m: 0.01 },
  edges_w14_R8: { kind: 'slot', gap_m: 0.014 },
  rods_rho2_D10_R8: { kind: 'two-rails', railRadius_m: 0.002, centres_m: 0.01 },
}

test('a solid ball on an incline: 5/7·g·sinθ (textbook, for example Halliday & Resnick, Physics, rolling bodies)', () => {
  for (const angle of [0.5, 2, 10, 45]) {
    const geometry = rollingGeometry({ kind: 'flat' }, ball)
    if (geometry.kind !== 'rides') throw new Error(geometry.kind)
    const a = acceleration_m_s2({ slope_rad: degrees(angle), k: geometry.k, g_m_s2: 9.80665 }, 0)
    expect(a).toBeCloseTo((5 / 7) * 9.80665 * Math.sin(degrees(angle)), 13)
  }
})

test('moments of inertia: 2/5 solid, 2/3 thin shell, 0.60444 at nine tenths hollow (textbook)', () => {
  expect(momentRatio()).toBe(0.4)
  expect(momentRatio(1)).toBeCloseTo(2 / 3, 15)
  expect(momentRatio(0.9)).toBeCloseTo(0.60444, 5)
})

test.each(Object.entries(computed.k_factor))('rolling radius and inertia factor of %s', (name, expected) => {
  const geometry = rollingGeometry(guides[name]!, ball)
  if (geometry.kind !== 'rides') throw new Error(geometry.kind)
  expect(geometry.rollingRadius_m / ball.radius_m).toBeCloseTo(expected.re_over_R, 14)
  expect(geometry.k).toBeCloseTo(expected.k, 13)
})

test('masses of steel and glass balls at all listed diameters', () => {
  for (const [diameter_mm, mass] of Object.entries(computed.masses_g)) {
    const body = { radius_m: Number(diameter_mm) / 2000 }
    expect(Math.abs(massFromDensity_kg(body, 7830) * 1000 - mass['steel7.83'])).toBeLessThan(5.1e-5)
    expect(Math.abs(massFromDensity_kg(body, 2500) * 1000 - mass['glass2.5'])).toBeLessThan(5.1e-5)
  }
})

test('makers count 244 steel balls of 10 mm and 59.5 of 16 mm to the kilogram (ball makers’ tables)', () => {
  expect(1 / massFromDensity_kg({ radius_m: 0.005 }, 7830)).toBeCloseTo(244, 0)
  expect(Math.abs(1 / massFromDensity_kg({ radius_m: 0.008 }, 7830) - 59.5)).toBeLessThan(0.1)
})

describe('gravity', () => {
  test('normal gravity of WGS 84 at 0°, 45°, 60° and 90° (published equatorial and polar values; from memory)', () => {
    for (const [latitude, g] of [
      [0, 9.78033],
      [45, 9.8062],
      [60, 9.81918],
      [90, 9.83218],
    ] as const) {
      expect(localGravity_m_s2(latitude)).toBeCloseTo(g, 5)
      expect(localGravity_m_s2(-latitude)).toBe(localGravity_m_s2(latitude))
    }
    expect(() => localGravity_m_s2(91)).toThrow(/latitude/)
  })
})

test('one turn of a 16 mm ball is 50.27 mm on the flat and 35.54 mm in a V of 90°: 2πR and 2πR/√2', () => {
  expect(1000 / turnsPerMetre(0.008)).toBeCloseTo(50.27, 2)
  expect(1000 / turnsPerMetre(0.008 * Math.SQRT1_2)).toBeCloseTo(35.54, 2)
  expect(inertiaFactor(ball, 0.008 * Math.SQRT1_2)).toBeCloseTo(1.8, 14)
})
