import tQuantileOracle from '@stdlib/stats-base-dists-t-quantile'
import fc from 'fast-check'
import jstat from 'jstat'
import { describe, expect, test } from 'vitest'
import { regularisedBeta } from '../../../../workers/fit/numerics/beta.ts'
import { clopperPearson, upperProbabilityLimit } from '../../../../workers/fit/numerics/binomial.ts'
import { chiSquareCdf, chiSquareQuantile, chiSquareUpperTail } from '../../../../workers/fit/numerics/chi-square.ts'
import { fCdf, fQuantile, fUpperTail } from '../../../../workers/fit/numerics/f-distribution.ts'
import { logBeta, logGamma, regularisedGamma } from '../../../../workers/fit/numerics/gamma.ts'
import { noncentralTCdf, noncentralTQuantile } from '../../../../workers/fit/numerics/noncentral-t.ts'
import { normalCdf, normalPdf, normalQuantile } from '../../../../workers/fit/numerics/normal.ts'
import {
  coverageFactor,
  studentTCdf,
  studentTPdf,
  studentTQuantile,
} from '../../../../workers/fit/numerics/student-t.ts'

const seeded = { seed: 20260912, numRuns: 300 }
const probability = fc.double({ min: 1e-6, max: 1 - 1e-6, noNaN: true })
const dof = fc.double({ min: 0.6, max: 300, noNaN: true })

const relative = (computed: number, expected: number) =>
  Math.abs(computed - expected) / Math.max(Math.abs(expected), 1e-300)

describe('against independent libraries at random arguments', () => {
  test('Student t quantile agrees with @stdlib/stats-base-dists-t-quantile', () => {
    fc.assert(
      fc.property(probability, dof, (p, nu) => {
        const expected = tQuantileOracle(p, nu)
        expect(Math.abs(studentTQuantile(p, nu) - expected)).toBeLessThan(1e-8 * (1 + Math.abs(expected)))
      }),
      seeded,
    )
  })

  test('Student t, χ², F, normal and incomplete gamma and beta agree with jstat', () => {
    fc.assert(
      fc.property(fc.double({ min: -8, max: 8, noNaN: true }), dof, dof, (x, nu, other) => {
        expect(studentTCdf(x, nu)).toBeCloseTo(jstat.studentt.cdf(x, nu), 7)
        expect(chiSquareCdf(x * x, nu)).toBeCloseTo(jstat.chisquare.cdf(x * x, nu), 7)
        expect(fCdf(x * x, nu, other)).toBeCloseTo(jstat.centralF.cdf(x * x, nu, other), 7)
        expect(normalCdf(x)).toBeCloseTo(jstat.normal.cdf(x, 0, 1), 12)
        expect(regularisedGamma(nu, x * x).lower).toBeCloseTo(jstat.lowRegGamma(nu, x * x), 9)
        expect(regularisedBeta(1 / (1 + x * x), nu, other).lower).toBeCloseTo(
          jstat.ibeta(1 / (1 + x * x), nu, other),
          7,
        )
        expect(logGamma(nu)).toBeCloseTo(jstat.gammaln(nu), 9)
      }),
      seeded,
    )
  })

  test('noncentral t agrees with jstat at moderate noncentrality', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -3, max: 8, noNaN: true }),
        fc.integer({ min: 1, max: 40 }),
        fc.double({ min: 0.1, max: 5, noNaN: true }),
        (t, nu, delta) => {
          expect(noncentralTCdf(t, nu, delta)).toBeCloseTo(jstat.noncentralt.cdf(t, nu, delta), 6)
        },
      ),
      { ...seeded, numRuns: 100 },
    )
  })
})

describe('quantile and distribution undo each other', () => {
  test('to twelve digits of the smaller tail', () => {
    fc.assert(
      fc.property(fc.double({ min: -40, max: -1e-3, noNaN: true }), dof, dof, (logP, nu, other) => {
        const p = Math.exp(logP) / 2
        expect(relative(studentTCdf(studentTQuantile(p, nu), nu), p)).toBeLessThan(1e-11)
        expect(relative(fCdf(fQuantile(p, nu, other), nu, other), p)).toBeLessThan(1e-11)
        expect(relative(chiSquareCdf(chiSquareQuantile(p, nu), nu), p)).toBeLessThan(1e-11)
        expect(relative(normalCdf(normalQuantile(p)), p)).toBeLessThan(1e-11)
      }),
      seeded,
    )
  })

  test('for the noncentral t far beyond where the common series underflows', () => {
    for (const [p, nu, delta] of [
      [0.95, 4, 2],
      [0.99, 1, 3.3],
      [0.95, 999, 73.6],
      [0.5, 2000, -120],
      [0.01, 2.5, 8],
    ] as const)
      expect(noncentralTCdf(noncentralTQuantile(p, nu, delta), nu, delta)).toBeCloseTo(p, 11)
  })
})

describe('what each distribution must satisfy', () => {
  test('two tails make 1, and the far ones stay positive', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.01, max: 400, noNaN: true }), dof, (x, nu) => {
        expect(chiSquareCdf(x, nu) + chiSquareUpperTail(x, nu)).toBeCloseTo(1, 13)
        expect(fCdf(x, nu, 7) + fUpperTail(x, nu, 7)).toBeCloseTo(1, 13)
        expect(studentTCdf(x, nu) + studentTCdf(-x, nu)).toBeCloseTo(1, 13)
        expect(fUpperTail(x, nu, 7)).toBeGreaterThan(0)
      }),
      seeded,
    )
  })

  test('the square of t is F with one degree of freedom; χ² with two is exponential', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.01, max: 20, noNaN: true }), dof, (x, nu) => {
        expect(relative(2 * studentTCdf(-x, nu), fUpperTail(x * x, 1, nu))).toBeLessThan(1e-11)
        expect(relative(chiSquareUpperTail(x, 2), Math.exp(-x / 2))).toBeLessThan(1e-12)
      }),
      seeded,
    )
  })

  test('densities are the slope of their distributions', () => {
    for (const x of [-3, -0.4, 0, 1.7])
      for (const nu of [1, 4.5, 60]) {
        const slope = (studentTCdf(x + 1e-5, nu) - studentTCdf(x - 1e-5, nu)) / 2e-5
        expect(slope).toBeCloseTo(studentTPdf(x, nu), 8)
        expect((normalCdf(x + 1e-5) - normalCdf(x - 1e-5)) / 2e-5).toBeCloseTo(normalPdf(x), 8)
      }
  })

  test('t passes into the normal distribution', () => {
    expect(coverageFactor(0.95, Infinity)).toBeCloseTo(1.959963984540054, 13)
    expect(coverageFactor(0.95, 1e7)).toBeCloseTo(1.9599642217622, 8)
    expect(noncentralTCdf(1.2, 30, 0)).toBeCloseTo(studentTCdf(1.2, 30), 12)
  })

  test('ln B of large arguments keeps what three logarithms of Γ would lose', () => {
    // B(a, 1) = 1/a and B(a, 2) = 1/(a(a + 1)), exactly.
    for (const a of [3, 1e4, 1e9]) {
      expect(logBeta(a, 1)).toBeCloseTo(-Math.log(a), 13)
      expect(logBeta(2, a)).toBeCloseTo(-Math.log(a) - Math.log(a + 1), 13)
    }
  })

  test('Clopper–Pearson limits leave exactly the stated tails', () => {
    const tailBelow = (k: number, n: number, p: number) => {
      let sum = 0
      let term = (1 - p) ** n
      for (let i = 0; i <= k; i++) {
        sum += term
        term *= ((n - i) / (i + 1)) * (p / (1 - p))
      }
      return sum
    }
    const { lower, upper } = clopperPearson(3, 20, 0.95)
    expect(tailBelow(3, 20, upper)).toBeCloseTo(0.025, 12)
    expect(1 - tailBelow(2, 20, lower)).toBeCloseTo(0.025, 12)
    expect(clopperPearson(0, 10, 0.95).lower).toBe(0)
    expect(clopperPearson(10, 10, 0.95).upper).toBe(1)
    // Without a hit the limit has the closed form 1 − (1 − γ)^(1/n).
    for (const n of [10, 59, 299]) expect(upperProbabilityLimit(0, n, 0.95)).toBeCloseTo(1 - 0.05 ** (1 / n), 12)
  })

  test('questions without an answer throw', () => {
    expect(() => studentTQuantile(1.2, 3)).toThrow(/probability/)
    expect(() => studentTCdf(1, 0)).toThrow(/degrees of freedom/)
    expect(() => logGamma(-1)).toThrow()
    expect(() => clopperPearson(4, 3, 0.95)).toThrow()
  })
})
