import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  constantAcceleration,
  linearDragBasis,
  speedProportional,
  speedProportionalStop,
  speedSquared,
  speedSquaredStop,
} from '../../../workers/physics/kinematics.ts'

/** Runge–Kutta of fourth order: the equation of motion itself, as the judge of its closed solutions. */
function integrate(a: (v: number) => number, v0: number, t: number, steps = 2000): { s: number; v: number } {
  const h = t / steps
  let [s, v] = [0, v0]
  for (let i = 0; i < steps; i++) {
    const k1 = a(v)
    const k2 = a(v + (h / 2) * k1)
    const k3 = a(v + (h / 2) * k2)
    const k4 = a(v + h * k3)
    s += h * v + ((h * h) / 6) * (k1 + k2 + k3)
    v += (h / 6) * (k1 + 2 * k2 + 2 * k3 + k4)
  }
  return { s, v }
}

const speed = fc.double({ min: 0, max: 2, noNaN: true })
const push = fc.double({ min: -0.3, max: 0.6, noNaN: true })
const time = fc.double({ min: 0, max: 4, noNaN: true })

describe('closed solutions are those of the equation of motion', () => {
  test('with a part proportional to speed, of any rate down to none and below', () => {
    fc.assert(
      fc.property(time, speed, push, fc.double({ min: -0.3, max: 3, noNaN: true }), (t, v0, a0, rate) => {
        const stop = speedProportionalStop(v0, a0, rate)
        const until = stop === null ? t : Math.min(t, stop.time_s)
        const expected = integrate((v) => a0 - rate * v, v0, until)
        const { s_m, v_m_s } = speedProportional(t, v0, a0, rate)
        expect(s_m).toBeCloseTo(expected.s, 9)
        expect(v_m_s).toBeCloseTo(expected.v, 9)
      }),
      { seed: 6, numRuns: 200 },
    )
  })

  test('with a part proportional to speed squared', () => {
    fc.assert(
      fc.property(time, speed, push, fc.double({ min: 0, max: 1, noNaN: true }), (t, v0, a0, beta) => {
        const stop = speedSquaredStop(v0, a0, beta)
        const until = stop === null ? t : Math.min(t, stop.time_s)
        const expected = integrate((v) => a0 - beta * v * v, v0, until)
        const { s_m, v_m_s } = speedSquared(t, v0, a0, beta)
        expect(s_m).toBeCloseTo(expected.s, 8)
        expect(v_m_s).toBeCloseTo(expected.v, 8)
      }),
      { seed: 7, numRuns: 200 },
    )
  })
})

describe('worked values (recomputed independently by integration)', () => {
  test('approach to a terminal speed of 0.3 m/s with τ = 3 s', () => {
    const { s_m, v_m_s } = speedProportional(2, 0.05, 0.1, 1 / 3)
    expect(v_m_s).toBeCloseTo(0.171646, 6)
    expect(s_m).toBeCloseTo(0.235063, 6)
  })

  test('stop under dry friction and a speed-proportional part', () => {
    const stop = speedProportionalStop(0.5, -0.05, 0.2)
    expect(stop?.time_s).toBeCloseTo(5.493061, 6)
    expect(stop?.way_m).toBeCloseTo(1.126735, 6)
  })

  test('stop under dry friction and air', () => {
    const stop = speedSquaredStop(0.5, -0.05, 0.0023)
    expect(stop?.time_s).toBeCloseTo(9.961929, 6)
    expect(stop?.way_m).toBeCloseTo(2.485734, 6)
  })

  test('from rest towards a terminal speed under air', () => {
    const { s_m, v_m_s } = speedSquared(3, 0, 0.5, 0.05)
    expect(v_m_s).toBeCloseTo(1.39678, 6)
    expect(s_m).toBeCloseTo(2.170365, 6)
  })
})

describe('limits', () => {
  test('no drag is constant acceleration, to the last digits and through the smallest drags', () => {
    for (const tiny of [0, 1e-300, 1e-16, 1e-9]) {
      const plain = constantAcceleration(1.7, 0.4, 0.2)
      expect(speedProportional(1.7, 0.4, 0.2, tiny).s_m).toBeCloseTo(plain.s_m, 8)
      expect(speedSquared(1.7, 0.4, 0.2, tiny).s_m).toBeCloseTo(plain.s_m, 8)
      expect(speedProportionalStop(0.4, -0.2, tiny)?.way_m).toBeCloseTo(0.4, 8)
      expect(speedSquaredStop(0.4, -0.2, tiny)?.time_s).toBeCloseTo(2, 8)
    }
    expect(speedProportional(1.7, 0.4, 0.2, 0).s_m).toBe(constantAcceleration(1.7, 0.4, 0.2).s_m)
  })

  test('a ball that has stopped stays', () => {
    for (const motion of [
      speedProportional(100, 0.5, -0.05, 0.2),
      speedSquared(100, 0.5, -0.05, 0.0023),
      constantAcceleration(100, 0.5, -0.05, true),
    ])
      expect(motion).toMatchObject({ v_m_s: 0, atRest: true })
    expect(constantAcceleration(100, 0.5, -0.05, true).s_m).toBeCloseTo(2.5, 14)
    expect(constantAcceleration(100, 0.5, -0.05).atRest).toBe(false)
  })

  test('a ball that is pushed, or whose drag feeds it, never stops', () => {
    expect(speedProportionalStop(0.5, 0.1, 0.2)).toBeNull()
    expect(speedProportionalStop(0.5, -0.05, -0.2)).toBeNull()
    expect(speedSquaredStop(0.5, 0, 0.1)).toBeNull()
    expect(speedSquared(1e6, 0.1, 0.5, 0.05).v_m_s).toBeCloseTo(Math.sqrt(10), 9)
    expect(Number.isFinite(speedSquared(1e6, 0.1, 0.5, 0.05).s_m)).toBe(true)
  })

  test('the basis and its derivatives by the rate hold on both sides of the series', () => {
    for (const x of [-1.5, -1.0001, -0.9999, -1e-3, 0, 1e-9, 0.5, 0.9999, 1.0001, 8]) {
      const t = 1.3
      const rate = x / t
      const basis = linearDragBasis(t, rate)
      const numeric = (of: (r: number) => number) => (of(rate + 1e-5) - of(rate - 1e-5)) / 2e-5
      expect(basis.byRateOfSpeed).toBeCloseTo(
        numeric((r) => linearDragBasis(t, r).fromSpeed),
        8,
      )
      expect(basis.byRateOfPush).toBeCloseTo(
        numeric((r) => linearDragBasis(t, r).fromPush),
        8,
      )
      // fromSpeed is the integral of decay and fromPush that of fromSpeed: Simpson.
      let area = 0
      for (let i = 0; i <= 200; i++)
        area += (i === 0 || i === 200 ? 1 : i % 2 === 1 ? 4 : 2) * linearDragBasis((t * i) / 200, rate).fromSpeed
      expect(basis.fromPush).toBeCloseTo((area * t) / 600, 9)
    }
  })
})
