import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  correlatedCovariance,
  durbinWatson,
  effectiveCount,
  lag1Autocorrelation,
} from '../../../../workers/fit/numerics/autocorrelation.ts'
import { cholesky } from '../../../../workers/fit/numerics/cholesky.ts'
import { dofOfDoubt, welchSatterthwaite } from '../../../../workers/fit/numerics/degrees-of-freedom.ts'
import { leastSquares } from '../../../../workers/fit/numerics/least-squares.ts'
import {
  at,
  diagonal,
  identity,
  matrixFromColumns,
  matrixFromRows,
  matrixOf,
  multiply,
  propagate,
  quadraticForm,
  transpose,
} from '../../../../workers/fit/numerics/matrix.ts'
import { centralDifferences, sensitivities } from '../../../../workers/fit/numerics/numeric-jacobian.ts'
import { randomFromState, seededRandom, type Random } from '../../../../workers/fit/numerics/random.ts'

const parabola = (count: number) => matrixOf(count, 3, (i, j) => ((2 * i) / (count - 1) - 1) ** j)

function firstOrder(random: Random, count: number, rho: number): Float64Array {
  let value = random.normal()
  return Float64Array.from({ length: count }, () => {
    const current = value
    value = rho * value + Math.sqrt(1 - rho * rho) * random.normal()
    return current
  })
}

describe('autocorrelation of residuals', () => {
  test.each([0, 0.3, 0.6, 0.8])('finds ρ = %d on average, where the plain estimate is pulled towards less', (rho) => {
    const random = seededRandom(77)
    const count = 40
    const design = parabola(count)
    let raw = 0
    let corrected = 0
    const records = 60
    for (let n = 0; n < records; n++) {
      const series = Array.from({ length: 5 }, () => {
        const fit = leastSquares(design, firstOrder(random, count, rho))
        if (fit.kind !== 'fitted') throw new Error(fit.kind)
        return { residuals: fit.residuals, design }
      })
      const estimate = lag1Autocorrelation(series)
      if (estimate.kind !== 'estimated') throw new Error(estimate.kind)
      raw += estimate.raw / records
      corrected += estimate.rho / records
    }
    // Three standard deviations of the mean over the records, and what the ratio of expectations leaves.
    expect(Math.abs(corrected - rho)).toBeLessThan(0.035)
    expect(raw).toBeLessThan(rho - 0.04)
  })

  test('takes only true neighbours where marks are missing, at whatever spacing', () => {
    const random = seededRandom(9)
    const noise = firstOrder(random, 4000, 0.7)
    const kept = Array.from(noise.keys()).filter((i) => i % 7 !== 3)
    const estimate = lag1Autocorrelation([
      { residuals: kept.map((i) => noise[i]!), positions: kept.map((i) => 100 + 4 * i) },
    ])
    expect(estimate).toMatchObject({ kind: 'estimated', spacing: 4 })
    if (estimate.kind === 'estimated') expect(Math.abs(estimate.rho - 0.7)).toBeLessThan(4 * estimate.u)
  })

  test('says when there are too few neighbours, and does not divide by nothing', () => {
    expect(lag1Autocorrelation([{ residuals: [1, -1] }])).toEqual({ kind: 'too-few-pairs', have: 1, need: 4 })
    expect(lag1Autocorrelation([{ residuals: new Float64Array(9) }])).toMatchObject({ rho: 0 })
    expect(durbinWatson([0, 0, 0])).toBeNull()
  })

  test('gives the true scatter of an acceleration under correlated noise', () => {
    const random = seededRandom(21)
    const count = 60
    const rho = 0.6
    const design = parabola(count)
    const computed = correlatedCovariance(design, rho)
    if (computed.kind !== 'computed') throw new Error(computed.kind)
    let squares = 0
    let rss = 0
    const trials = 3000
    for (let n = 0; n < trials; n++) {
      const fit = leastSquares(design, firstOrder(random, count, rho))
      if (fit.kind !== 'fitted') throw new Error(fit.kind)
      squares += fit.parameters[2]! ** 2 / trials
      rss += fit.rss / trials
    }
    expect(squares / at(computed.unscaledCovariance, 2, 2)).toBeCloseTo(1, 1)
    expect(rss / computed.expectedRss).toBeCloseTo(1, 1)
  })

  test('inflates σ_a of 60 marks by the published ratios for first-order noise', () => {
    // Recomputed independently with numpy (full covariance matrix): ratios of σ_a to white noise.
    const white = correlatedCovariance(parabola(60), 0)
    for (const [rho, ratio] of [
      [0.3, 1.325],
      [0.5, 1.634],
      [0.8, 2.424],
    ] as const) {
      const computed = correlatedCovariance(parabola(60), rho)
      if (computed.kind !== 'computed' || white.kind !== 'computed') throw new Error('no covariance')
      const inflation = Math.sqrt(at(computed.unscaledCovariance, 2, 2) / at(white.unscaledCovariance, 2, 2))
      expect(inflation).toBeCloseTo(ratio, 3)
    }
  })

  test('runs are independent of each other', () => {
    const two = matrixFromRows([...Array(2)].flatMap(() => Array.from({ length: 20 }, (_, i) => [1, i])))
    const joined = correlatedCovariance(two, 0.5, { runs: [0, 20] })
    const single = correlatedCovariance(
      matrixOf(20, 2, (i, j) => i ** j),
      0.5,
    )
    if (joined.kind !== 'computed' || single.kind !== 'computed') throw new Error('no covariance')
    expect(at(joined.unscaledCovariance, 1, 1)).toBeCloseTo(at(single.unscaledCovariance, 1, 1) / 2, 12)
  })

  test('correlated marks are worth fewer, never more', () => {
    expect(effectiveCount(100, 0)).toBe(100)
    expect(effectiveCount(100, 0.5)).toBeCloseTo(100 / 3, 12)
    expect(effectiveCount(100, -0.5)).toBe(100)
    expect(effectiveCount(100, 1)).toBe(1)
  })
})

describe('degrees of freedom', () => {
  test('the Welch–Satterthwaite formula of JCGM 100, G.4.1', () => {
    // Recomputed independently with numpy.
    const parts = [
      { u: 1.64e-4, dof: 4 },
      { u: 1e-3, dof: 50 },
      { u: 5e-4, dof: Infinity },
    ]
    expect(welchSatterthwaite(parts)).toBeCloseTo(80.8, 1)
    expect(welchSatterthwaite([{ u: 2, dof: 7 }])).toBe(7)
    expect(welchSatterthwaite([{ u: 1, dof: Infinity }])).toBe(Infinity)
  })

  test('a doubt of a quarter is worth eight degrees, the example of JCGM 100, G.4.2', () => {
    expect(dofOfDoubt(0.25)).toBe(8)
  })

  test('never fewer than the fewest part, never more than all together', () => {
    const part = fc.record({ u: fc.double({ min: 0.01, max: 10, noNaN: true }), dof: fc.integer({ min: 1, max: 99 }) })
    fc.assert(
      fc.property(fc.array(part, { minLength: 1, maxLength: 6 }), (parts) => {
        const effective = welchSatterthwaite(parts)
        expect(effective).toBeGreaterThanOrEqual(Math.min(...parts.map(({ dof }) => dof)) * (1 - 1e-12))
        expect(effective).toBeLessThanOrEqual(parts.reduce((sum, { dof }) => sum + dof, 0) * (1 + 1e-12))
      }),
      { seed: 4, numRuns: 300 },
    )
  })
})

describe('random numbers', () => {
  test('follow xoshiro128** from a known state', () => {
    // Source: outputs of the reference C code of Blackman & Vigna with state 1, 2, 3, 4.
    const random = randomFromState([1, 2, 3, 4])
    expect([random.bits(), random.bits(), random.bits(), random.bits()]).toEqual([11520, 0, 5927040, 70819200])
  })

  test('have the moments of their distributions', () => {
    const random = seededRandom(12)
    const count = 200_000
    let [mean, square, fourth, flat] = [0, 0, 0, 0]
    for (let i = 0; i < count; i++) {
      const z = random.normal()
      mean += z / count
      square += z ** 2 / count
      fourth += z ** 4 / count
      flat += random.uniform() / count
    }
    // Four standard deviations each: 1, √2, √96 and 1/√12 over √count.
    const allowed = 4 / Math.sqrt(count)
    expect(Math.abs(mean)).toBeLessThan(allowed)
    expect(Math.abs(square - 1)).toBeLessThan(allowed * Math.SQRT2)
    expect(Math.abs(fourth - 3)).toBeLessThan(allowed * Math.sqrt(96))
    expect(Math.abs(flat - 0.5)).toBeLessThan(allowed / Math.sqrt(12))
  })

  test('repeat with their seed and differ between forks', () => {
    expect(seededRandom(5).uniform()).toBe(seededRandom(5).uniform())
    expect(seededRandom(5).fork(1).uniform()).not.toBe(seededRandom(5).fork(2).uniform())
    const random = seededRandom(6)
    const counts = new Set(Array.from({ length: 200 }, () => random.below(6)))
    expect([...counts].sort()).toEqual([0, 1, 2, 3, 4, 5])
  })
})

describe('covariances', () => {
  const v = matrixFromRows([
    [4, 2, -1],
    [2, 3, 0.5],
    [-1, 0.5, 2],
  ])

  test('a Cholesky factor multiplies back, solves and inverts', () => {
    const factor = cholesky(v)
    if (factor.kind !== 'cholesky') throw new Error(factor.kind)
    expect([...multiply(factor.lower, transpose(factor.lower)).data]).toEqual(
      [...v.data].map((x) => expect.closeTo(x, 13)),
    )
    expect([...multiply(v, factor.inverse()).data]).toEqual([...identity(3).data].map((x) => expect.closeTo(x, 13)))
    const whitened = matrixFromColumns([factor.whiten([4, 2, -1])])
    expect(quadraticForm(identity(3), whitened.data)).toBeCloseTo(4, 13)
  })

  test('coloured draws have the covariance asked for', () => {
    const factor = cholesky(v)
    if (factor.kind !== 'cholesky') throw new Error(factor.kind)
    const random = seededRandom(31)
    let covariance = 0
    for (let n = 0; n < 50_000; n++) {
      const draw = factor.colour([random.normal(), random.normal(), random.normal()])
      covariance += (draw[0]! * draw[1]!) / 50_000
    }
    expect(Math.abs(covariance - 2)).toBeLessThan(4 * Math.sqrt((4 * 3 + 4) / 50_000))
  })

  test('a matrix that is no covariance is refused', () => {
    expect(
      cholesky(
        matrixFromRows([
          [1, 2],
          [2, 1],
        ]),
      ),
    ).toEqual({ kind: 'not-positive-definite', pivot: 1 })
  })

  test('propagation is the quadratic form in every direction', () => {
    const jacobian = matrixFromRows([
      [1, 0, 2],
      [0.5, -1, 0],
    ])
    const out = propagate(jacobian, v)
    expect(at(out, 0, 0)).toBeCloseTo(quadraticForm(v, [1, 0, 2]), 13)
    expect(diagonal(out)[1]).toBeCloseTo(quadraticForm(v, [0.5, -1, 0]), 13)
    expect(at(out, 0, 1)).toBe(at(out, 1, 0))
  })

  test('numeric derivatives are those of the formula', () => {
    const f = (x: Float64Array) => Float64Array.of(Math.sin(x[0]!) * x[1]!, Math.exp(x[1]!))
    const j = centralDifferences(f, Float64Array.of(0.7, -2))
    expect(at(j, 0, 0)).toBeCloseTo(Math.cos(0.7) * -2, 9)
    expect(at(j, 1, 1)).toBeCloseTo(Math.exp(-2), 9)
    const s = sensitivities((x) => x[0]! ** 2 * x[1]!, [3, 2], [0.01, 0])
    expect(s[0]).toBeCloseTo(12, 10)
    expect(s[1]).toBe(0)
  })
})
