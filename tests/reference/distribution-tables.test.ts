import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { deviationFactors } from '../../workers/fit/numerics/chi-square.ts'
import { leastSquares } from '../../workers/fit/numerics/least-squares.ts'
import { matrixOf } from '../../workers/fit/numerics/matrix.ts'
import { oneSidedToleranceFactor } from '../../workers/fit/numerics/noncentral-t.ts'
import { studentTQuantile } from '../../workers/fit/numerics/student-t.ts'

interface Computed {
  readonly tolerance_one_sided_k: Readonly<Record<string, Readonly<Record<string, number>>>>
  readonly student_t: Readonly<Record<string, Readonly<Record<string, number>>>>
  readonly sigma_a_exact: Readonly<Record<string, number>>
}

// Source: scipy, as the file itself says.
const computed = JSON.parse(
  readFileSync(new URL('./data/computed-with-scipy.json', import.meta.url), 'utf8'),
) as Computed

test('Student t as printed in statistical tables (t for 0.95, 0.975, 0.995; JCGM 100:2008, table G.2 for the middle one)', () => {
  const table: readonly (readonly [number, number, number, number])[] = [
    [1, 6.3138, 12.7062, 63.6567],
    [2, 2.92, 4.3027, 9.9248],
    [3, 2.3534, 3.1824, 5.8409],
    [4, 2.1318, 2.7764, 4.6041],
    [5, 2.015, 2.5706, 4.0321],
    [9, 1.8331, 2.2622, 3.2498],
    [10, 1.8125, 2.2281, 3.1693],
    [20, 1.7247, 2.086, 2.8453],
    [30, 1.6973, 2.0423, 2.75],
    [120, 1.6577, 1.9799, 2.6174],
  ]
  for (const [dof, ...expected] of table)
    [0.95, 0.975, 0.995].forEach((p, i) =>
      expect(Math.abs(studentTQuantile(p, dof) - expected[i]!)).toBeLessThan(5.1e-5),
    )
})

test('Student t at every degree of freedom of the scipy table', () => {
  for (const [p, row] of Object.entries(computed.student_t))
    for (const [dof, t] of Object.entries(row))
      expect(Math.abs(studentTQuantile(Number(p), Number(dof)) - t)).toBeLessThan(5.1e-6)
})

describe('one-sided tolerance factors', () => {
  test.each(Object.entries(computed.tolerance_one_sided_k))(
    '%s, n = 2 … 100, to the five decimals of scipy',
    (key, row) => {
      const match = /^P([\d.]+)_conf([\d.]+)$/.exec(key)
      if (match === null) throw new Error(key)
      for (const [n, factor] of Object.entries(row))
        expect(Math.abs(oneSidedToleranceFactor(Number(n), Number(match[1]), Number(match[2])) - factor)).toBeLessThan(
          5.1e-6,
        )
    },
  )

  test('CMH-17-1G, B basis (0.90/0.95) and A basis (0.99/0.95) at n = 5, 10, 20', () => {
    // Source: Composite Materials Handbook 17-1G, tables of k_B and k_A, as quoted in the tests of the R package cmstatr.
    for (const [n, b, a] of [
      [5, 3.408, 5.741],
      [10, 2.355, 3.981],
      [20, 1.927, 3.295],
    ] as const) {
      expect(Math.abs(oneSidedToleranceFactor(n, 0.9, 0.95) - b)).toBeLessThan(0.0015)
      expect(Math.abs(oneSidedToleranceFactor(n, 0.99, 0.95) - a)).toBeLessThan(0.0015)
    }
  })
})

test('95 % confidence factors of a standard deviation for n = 3, 5, 10 (recomputed independently with scipy)', () => {
  for (const [n, lower, upper] of [
    [3, 0.521, 6.285],
    [5, 0.599, 2.874],
    [10, 0.688, 1.826],
  ] as const) {
    const factors = deviationFactors(0.95, n - 1)
    expect(factors.lower).toBeCloseTo(lower, 3)
    expect(factors.upper).toBeCloseTo(upper, 3)
  }
})

test('standard uncertainty of an acceleration from equally spaced marks, exact design (numpy)', () => {
  for (const [key, expected] of Object.entries(computed.sigma_a_exact)) {
    const match = /^N(\d+)_T([\d.]+)_s3e-4$/.exec(key)
    if (match === null) throw new Error(key)
    const count = Number(match[1])
    const step = Number(match[2]) / (count - 1)
    const design = matrixOf(count, 3, (i, j) => [1, i * step, (i * step) ** 2 / 2][j]!)
    const fit = leastSquares(design, new Float64Array(count))
    if (fit.kind !== 'fitted') throw new Error(fit.kind)
    expect((3e-4 * Math.sqrt(fit.unscaledCovariance.data[8]!)) / expected).toBeCloseTo(1, 9)
    // The closed form for white marks.
    const closed = Math.sqrt(720 / (count * (count ** 2 - 1) * (count ** 2 - 4))) / step ** 2
    expect((3e-4 * closed) / expected).toBeCloseTo(1, 9)
  }
})
