import { describe, expect, test } from 'vitest'
import { levenbergMarquardt } from '../../../../workers/fit/numerics/levenberg-marquardt.ts'
import { leastSquares } from '../../../../workers/fit/numerics/least-squares.ts'
import { at, matrixOf } from '../../../../workers/fit/numerics/matrix.ts'
import { seededRandom } from '../../../../workers/fit/numerics/random.ts'

const times = Float64Array.from({ length: 60 }, (_, i) => i / 30)
const decay = (p: ArrayLike<number>) => times.map((t) => p[0]! * Math.exp(-p[1]! * t) + p[2]!)
const decayJacobian = (p: ArrayLike<number>) =>
  matrixOf(60, 3, (i, j) => {
    const e = Math.exp(-p[1]! * times[i]!)
    return [e, -p[0]! * times[i]! * e, 1][j]!
  })

describe('nonlinear least squares', () => {
  test('recovers a decay within its own standard errors, with analytic and with numeric derivatives alike', () => {
    const random = seededRandom(3)
    const truth = [2, 0.8, 0.5]
    const observations = decay(truth).map((value) => value + 0.01 * random.normal())
    const problem = { observations, start: [1, 2, 0], predict: decay }
    const numeric = levenbergMarquardt(problem)
    const analytic = levenbergMarquardt({ ...problem, jacobian: decayJacobian })
    if (numeric.kind !== 'fitted' || analytic.kind !== 'fitted') throw new Error('no fit')
    truth.forEach((value, j) => {
      expect(Math.abs(analytic.parameters[j]! - value)).toBeLessThan(3.5 * analytic.standardErrors![j]!)
      expect(numeric.parameters[j]).toBeCloseTo(analytic.parameters[j]!, 8)
      expect(numeric.standardErrors![j]! / analytic.standardErrors![j]!).toBeCloseTo(1, 6)
    })
  })

  test('is the linear fit where the model is linear, weights included', () => {
    const random = seededRandom(4)
    const design = matrixOf(20, 3, () => random.normal())
    const y = Float64Array.from({ length: 20 }, () => random.normal())
    const weights = Float64Array.from({ length: 20 }, () => random.between(0.2, 3))
    const linear = leastSquares(design, y, { weights })
    const nonlinear = levenbergMarquardt({
      observations: y,
      weights,
      start: [10, -10, 3],
      predict: (p) =>
        Float64Array.from(
          { length: 20 },
          (_, i) => at(design, i, 0) * p[0]! + at(design, i, 1) * p[1]! + at(design, i, 2) * p[2]!,
        ),
    })
    if (linear.kind !== 'fitted' || nonlinear.kind !== 'fitted') throw new Error('no fit')
    for (let j = 0; j < 3; j++) {
      expect(nonlinear.parameters[j]).toBeCloseTo(linear.parameters[j]!, 9)
      expect(nonlinear.standardErrors![j]).toBeCloseTo(linear.standardErrors![j]!, 9)
    }
    expect(nonlinear.rss).toBeCloseTo(linear.rss, 11)
  })

  test('meets a fit without any residual', () => {
    const fit = levenbergMarquardt({
      observations: decay([2, 0.8, 0.5]),
      start: [1, 1, 0],
      predict: decay,
      jacobian: decayJacobian,
    })
    if (fit.kind !== 'fitted') throw new Error(fit.kind)
    ;[2, 0.8, 0.5].forEach((value, j) => expect(fit.parameters[j]).toBeCloseTo(value, 12))
  })

  test('turns back from parameters the model refuses', () => {
    // A square root that is no number beyond b = 1; the first undamped step would go there.
    const x = Float64Array.from({ length: 20 }, (_, i) => i / 19)
    const predict = (p: ArrayLike<number>) => x.map((value) => Math.sqrt(1 - p[0]! * value))
    const fit = levenbergMarquardt({ observations: predict([0.95]), start: [-8], predict })
    if (fit.kind !== 'fitted') throw new Error(fit.kind)
    expect(fit.parameters[0]).toBeCloseTo(0.95, 9)
  })

  test('says that two parameters cannot be told apart', () => {
    const predict = (p: ArrayLike<number>) => times.map((t) => p[0]! * p[1]! * t)
    const outcome = levenbergMarquardt({
      observations: times.map((t, i) => 3 * t + 0.01 * (i % 3)),
      start: [1, 1],
      predict,
    })
    expect(outcome.kind).not.toBe('fitted')
  })

  test('says that it was stopped, and where it stood', () => {
    const outcome = levenbergMarquardt(
      { observations: decay([2, 0.8, 0.5]), start: [100, 5, 50], predict: decay },
      { maxIterations: 2 },
    )
    expect(outcome).toMatchObject({ kind: 'not-converged', reason: 'iterations-spent', iterations: 2 })
  })

  test('refuses a start at which the model has no value', () => {
    expect(levenbergMarquardt({ observations: [1, 2], start: [-1], predict: (p) => [Math.sqrt(p[0]!), 1] })).toEqual({
      kind: 'not-finite',
      where: 'start',
      row: 0,
    })
  })
})
