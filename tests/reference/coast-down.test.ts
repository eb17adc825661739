import { describe, expect, test } from 'vitest'
import { studentTQuantile } from '../../workers/fit/numerics/student-t.ts'
import {
  coastDown,
  levelStopWay_m,
  pairedCoastDownTime_s,
  resistanceOfCoastDown,
  resistanceOfStopWay,
  slopeOfStopWays,
} from '../../workers/physics/estimators.ts'
import { acceleration_m_s2, twoWay } from '../../workers/physics/motion.ts'

const g = 9.80665

describe('practice of vehicle coast-downs, where it carries over to balls', () => {
  test('t/√n of council directive 70/220/EEC, Annex III Appendix 3 (printed from rounded t)', () => {
    const printed = { 4: 1.6, 5: 1.25, 6: 1.06, 7: 0.94, 8: 0.85, 9: 0.77, 10: 0.73, 12: 0.64, 15: 0.57 }
    for (const [n, value] of Object.entries(printed)) {
      const exact = studentTQuantile(0.975, Number(n) - 1) / Math.sqrt(Number(n))
      expect(Math.abs(exact - value)).toBeLessThan(0.017)
    }
  })

  test('the same without rounding (recomputed independently with scipy)', () => {
    const exact = { 3: 2.484, 4: 1.591, 5: 1.242, 6: 1.049, 8: 0.836, 10: 0.715, 15: 0.554 }
    for (const [n, value] of Object.entries(exact))
      expect(studentTQuantile(0.975, Number(n) - 1) / Math.sqrt(Number(n))).toBeCloseTo(value, 3)
  })

  test('statistical precision p = t·s/(√n·mean) of UN GTR 15, Annex 4 (from memory), on four times', () => {
    const times = [12.1, 12.4, 11.9, 12.2]
    const mean = times.reduce((sum, time) => sum + time, 0) / 4
    const deviation = Math.sqrt(times.reduce((sum, time) => sum + (time - mean) ** 2, 0) / 3)
    expect((studentTQuantile(0.975, 3) * deviation) / (2 * mean)).toBeCloseTo(0.02726, 5)
  })

  test('times in opposite directions combine as their harmonic mean (UN GTR 15, Annex 4, from memory)', () => {
    expect(pairedCoastDownTime_s(10, 12)).toBeCloseTo(10.909, 3)
  })

  test('a pair of opposite runs cancels the grade, which 40 CFR 1066.310 asks of every pair', () => {
    // A grade of 0.5 % either way changes the times, not the force that the pair gives.
    const [k, c, drop] = [1.4, 0.004, 0.1]
    const time = (grade: number) => drop / -acceleration_m_s2({ slope_rad: Math.atan(grade), k, g_m_s2: g }, c)
    const paired = pairedCoastDownTime_s(time(0.002), time(-0.002))
    expect(paired / time(0) - 1).toBeLessThan(3e-6)
    expect(time(0.002) / time(0)).toBeGreaterThan(1.9)
    expect(resistanceOfCoastDown(k, drop / paired, g)).toBeCloseTo(c, 7)
  })
})

describe('stopping ways up and down a gentle slope', () => {
  // Source of the formula: A. D. Brede, USGA Green Section Record, 1990.
  test('12 and 8 are 9.6 on the level', () => {
    expect(levelStopWay_m(12, 8)).toBe(9.6)
  })

  test('the formula is exact for constant resistance, the arithmetic mean is not (recomputed independently)', () => {
    const [up, down] = [3.24455, 7.13801]
    expect(levelStopWay_m(up, down)).toBeCloseTo(4.46126, 5)
    expect((up + down) / 2).toBeCloseTo(5.191, 3)
    expect(levelStopWay_m(up, down)).toBeCloseTo(coastDown(1.4, 0.004, 0.5, g).way_m, 4)
    expect(slopeOfStopWays(up, down, 0.004)).toBeCloseTo(0.0015, 7)
    expect(resistanceOfStopWay(1.4, 0.5, levelStopWay_m(up, down), g)).toBeCloseTo(0.004, 7)
  })

  test('down and up one slope give slope and resistance (recomputed independently)', () => {
    const result = twoWay(0.141349, 0.225377, 1.4, g)
    expect(result?.resistance).toBeCloseTo(0.006, 6)
    expect((result!.slope_rad * 180) / Math.PI).toBeCloseTo(1.5, 5)
  })
})
