import { describe, expect, test } from 'vitest'
import { durbinWatson, lag1Autocorrelation } from '../../workers/fit/numerics/autocorrelation.ts'
import { blockedLeastSquares } from '../../workers/fit/numerics/blocked-least-squares.ts'
import { fUpperTail } from '../../workers/fit/numerics/f-distribution.ts'
import { leastSquares, type LinearFit } from '../../workers/fit/numerics/least-squares.ts'
import { at, matrixOf, quadraticForm } from '../../workers/fit/numerics/matrix.ts'
import { resistanceOfCoastDown } from '../../workers/physics/estimators.ts'
import { resistance } from '../../workers/physics/motion.ts'

/** Columns 1, t, t²/2, t³ as far as asked for. */
const powers = (times: ArrayLike<number>, count: number) =>
  matrixOf(times.length, count, (i, j) => [1, times[i]!, times[i]! ** 2 / 2, times[i]! ** 3][j]!)

function fitted(outcome: ReturnType<typeof leastSquares>): LinearFit {
  if (outcome.kind !== 'fitted') throw new Error(outcome.kind)
  return outcome
}

describe('GUM H.3, calibration of a thermometer', () => {
  // Source: JCGM 100:2008, H.3, table H.6 and results; further digits recomputed from the same table.
  const t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511]
  const b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16]
  const fit = fitted(
    leastSquares(
      matrixOf(11, 2, (i, j) => (j === 0 ? 1 : t[i]! - 20)),
      b,
    ),
  )
  const covariance = fit.scaledCovariance!

  test('intercept, slope, their uncertainties and correlation as published', () => {
    expect(fit.parameters[0]).toBeCloseTo(-0.1712, 4)
    expect(fit.standardErrors![0]).toBeCloseTo(0.0029, 4)
    expect(fit.parameters[1]).toBeCloseTo(0.00218, 5)
    expect(fit.standardErrors![1]).toBeCloseTo(0.00067, 5)
    expect(at(covariance, 0, 1) / (fit.standardErrors![0]! * fit.standardErrors![1]!)).toBeCloseTo(-0.93, 3)
    expect(Math.sqrt(fit.residualVariance!)).toBeCloseTo(0.0035, 5)
  })

  test('the digits beyond print', () => {
    expect(fit.parameters[0]).toBeCloseTo(-0.17120379, 8)
    expect(fit.parameters[1]).toBeCloseTo(0.00218269774, 11)
    expect(fit.standardErrors![0]).toBeCloseTo(0.002877598, 9)
    expect(fit.standardErrors![1]).toBeCloseTo(0.000667938773, 12)
    expect(fit.rss).toBeCloseTo(1.10096583e-4, 12)
  })

  test('the correction at 30 °C, with the covariance', () => {
    expect(fit.parameters[0]! + 10 * fit.parameters[1]!).toBeCloseTo(-0.1494, 4)
    expect(Math.sqrt(quadraticForm(covariance, [1, 10]))).toBeCloseTo(0.0041, 4)
    expect(Math.sqrt(quadraticForm(covariance, [1, 10]))).toBeCloseTo(0.004138596, 9)
  })
})

describe('one run of twelve marks, positions in mm (recomputed independently with numpy)', () => {
  const t = Array.from({ length: 12 }, (_, i) => i * 0.05)
  const s = [0.1, 14.8, 31, 48.3, 66.8, 86.2, 107.4, 129.2, 152.9, 177.3, 203.4, 230.2]
  const [steady, accelerated, cubic] = [2, 3, 4].map((count) => fitted(leastSquares(powers(t, count), s)))

  test('constant acceleration: start, speed, acceleration, each with its standard error', () => {
    for (const [j, value, error] of [
      [0, 0.104945, 0.109285],
      [1, 283.879121, 0.923755],
      [2, 489.390609, 3.236599],
    ] as const) {
      expect(accelerated!.parameters[j]).toBeCloseTo(value, 5)
      expect(accelerated!.standardErrors![j]).toBeCloseTo(error, 5)
    }
    expect(accelerated!.rss).toBeCloseTo(0.196613, 6)
    expect(Math.sqrt(accelerated!.residualVariance!)).toBeCloseTo(0.147804, 6)
  })

  test('sums of squares of the rival models and their F tests', () => {
    expect(steady!.rss).toBeCloseTo(499.660513, 5)
    expect(cubic!.rss).toBeCloseTo(0.189146, 6)
    const gain = (small: LinearFit, large: LinearFit) => (small.rss - large.rss) / (large.rss / large.dof)
    expect(gain(steady!, accelerated!)).toBeCloseTo(22863, 0)
    expect(gain(accelerated!, cubic!)).toBeCloseTo(0.315818, 5)
    expect(fUpperTail(gain(accelerated!, cubic!), 1, cubic!.dof)).toBeCloseTo(0.58953, 5)
  })

  test('residuals: lag-1 correlation and Durbin–Watson', () => {
    const lag1 = lag1Autocorrelation([{ residuals: accelerated!.residuals, design: powers(t, 3) }])
    if (lag1.kind !== 'estimated') throw new Error(lag1.kind)
    expect(lag1.raw).toBeCloseTo(-0.5702, 4)
    // Fitting pulls towards negative: freed of that, the estimate moves up.
    expect(lag1.rho).toBeGreaterThan(lag1.raw)
    expect(durbinWatson(accelerated!.residuals)).toBeCloseTo(3.1227, 4)
  })
})

describe('three runs of nine marks with one shared acceleration (recomputed independently with numpy)', () => {
  const t = Array.from({ length: 9 }, (_, i) => i * 0.1)
  const runs = [
    [0.2, 21.3, 45.6, 72.2, 102.1, 134.6, 170.5, 208.9, 250.6],
    [0, 31.2, 64.9, 102.3, 141.8, 184.9, 230.5, 279.6, 331.2],
    [-0.1, 15.6, 34.5, 56.2, 80.9, 108.1, 138.9, 172.1, 208.6],
  ]

  test('acceleration, its standard error, speeds and sum of squares of the joint fit', () => {
    const joint = blockedLeastSquares(
      runs.map((observations) => ({
        own: powers(t, 2),
        shared: matrixOf(9, 1, (i) => t[i]! ** 2 / 2),
        observations,
      })),
    )
    if (joint.kind !== 'fitted') throw new Error(joint.kind)
    expect(joint.shared[0]).toBeCloseTo(293.54978, 5)
    expect(Math.sqrt((joint.rss / joint.dof) * at(joint.sharedCovariance, 0, 0))).toBeCloseTo(1.060945, 6)
    expect(joint.rss).toBeCloseTo(0.5200289, 7)
    ;[195.34675, 296.54675, 143.41342].forEach((speed, i) => expect(joint.own[i]![1]).toBeCloseTo(speed, 5))
    // A slope of 2.8° on the flat turns it into a resistance.
    const setting = { slope_rad: (2.8 * Math.PI) / 180, k: 1.4, g_m_s2: 9.80665 }
    expect(resistance(setting, joint.shared[0]! / 1000)).toBeCloseTo(0.0069508, 7)
  })

  test('runs alone, their mean and its standard error', () => {
    const alone = runs.map((observations) => fitted(leastSquares(powers(t, 3), observations)).parameters[2]!)
    ;[291.645, 296.017, 292.987].forEach((value, i) => expect(alone[i]).toBeCloseTo(value, 3))
    const mean = fitted(
      leastSquares(
        matrixOf(3, 1, () => 1),
        alone,
      ),
    )
    expect(mean.parameters[0]).toBeCloseTo(293.54978, 5)
    expect(Math.sqrt(mean.residualVariance!)).toBeCloseTo(2.23982, 5)
    expect(mean.standardErrors![0]).toBeCloseTo(1.29316, 5)
  })
})

describe('a golf ball on a floor, timed frame by frame', () => {
  // Source of the times: robotex.ing.ee, "Physics 101 – Measuring ball movement", 2011-10-20; marks at 0, 0.5, 1.0, 1.5 m.
  // Results recomputed independently with numpy. The positions are exact and the times carry the error there, so this
  // checks the arithmetic of a joint fit, not the model of a measurement.
  const runs = [
    [15.244, 15.84, 16.598, 17.804],
    [26.327, 26.651, 27.1, 27.566],
    [35.219, 35.57, 36.02, 36.5],
    [43.604, 44.08, 44.638, 45.26],
    [51.963, 52.5, 53.182, 54.047],
  ].map((times) => times.map((time) => time - times[0]!))
  const marks = [0, 0.5, 1, 1.5]

  const joint = (withStart: boolean) => {
    const outcome = blockedLeastSquares(
      runs.map((times) => {
        // Without a free start the first mark is where time begins and says nothing.
        const used = withStart ? times : times.slice(1)
        return {
          own: withStart ? powers(used, 2) : matrixOf(3, 1, (i) => used[i]!),
          shared: matrixOf(used.length, 1, (i) => used[i]! ** 2 / 2),
          observations: withStart ? marks : marks.slice(1),
        }
      }),
    )
    if (outcome.kind !== 'fitted') throw new Error(outcome.kind)
    const variance = outcome.rss / outcome.dof
    return {
      a: outcome.shared[0]!,
      u: Math.sqrt(variance * at(outcome.sharedCovariance, 0, 0)),
      s: Math.sqrt(variance),
      dof: outcome.dof,
      speeds: outcome.own.map((own) => own[own.length - 1]!),
    }
  }

  test('with every run starting at the first mark', () => {
    const { a, u, s, dof, speeds } = joint(false)
    expect(a).toBeCloseTo(-0.26437, 5)
    expect(u).toBeCloseTo(0.02448, 5)
    expect(s).toBeCloseTo(0.027988, 6)
    expect(dof).toBe(9)
    ;[0.92263, 1.39007, 1.35072, 1.11852, 0.99222].forEach((v, i) => expect(speeds[i]).toBeCloseTo(v, 5))
    expect(resistanceOfCoastDown(1.4, -a, 9.80665)).toBeCloseTo(0.03774, 5)
  })

  test('with a free start in every run', () => {
    const { a, u, s, dof, speeds } = joint(true)
    expect(a).toBeCloseTo(-0.2606, 5)
    expect(u).toBeCloseTo(0.02449, 5)
    expect(s).toBeCloseTo(0.023135, 6)
    expect(dof).toBe(9)
    ;[0.91937, 1.35525, 1.32745, 1.11924, 0.98882].forEach((v, i) => expect(speeds[i]).toBeCloseTo(v, 5))
  })
})
