import fc from 'fast-check'
import { Matrix as OracleMatrix, solve as oracleSolve } from 'ml-matrix'
import { describe, expect, test } from 'vitest'
import { accurateDot, accurateSum } from '../../../../workers/fit/numerics/double-double.ts'
import { factorise, leastSquares, type LinearFit } from '../../../../workers/fit/numerics/least-squares.ts'
import { at, matrixFromRows, matrixOf, multiplyVector } from '../../../../workers/fit/numerics/matrix.ts'
import { seededRandom } from '../../../../workers/fit/numerics/random.ts'

function fitted(outcome: ReturnType<typeof leastSquares>): LinearFit {
  if (outcome.kind !== 'fitted') throw new Error(JSON.stringify(outcome))
  return outcome
}

const line = (count: number) => matrixOf(count, 2, (i, j) => i ** j)

describe('linear least squares', () => {
  test('agrees with ml-matrix (an independent library) on parameters and covariance at random designs', () => {
    fc.assert(
      fc.property(
        fc.integer(),
        fc.integer({ min: 1, max: 6 }),
        fc.integer({ min: 2, max: 30 }),
        (seed, cols, extra) => {
          const random = seededRandom(seed)
          const design = matrixOf(cols + extra, cols, () => random.normal())
          const y = Float64Array.from({ length: design.rows }, () => random.normal())
          const fit = fitted(leastSquares(design, y))
          const oracle = OracleMatrix.from1DArray(design.rows, cols, design.data)
          const expected = oracleSolve(oracle, OracleMatrix.columnVector(y)).to1DArray()
          expected.forEach((value, j) => expect(fit.parameters[j]).toBeCloseTo(value, 9))
          const normal = oracle.transpose().mmul(oracle)
          const back = normal.mmul(OracleMatrix.from1DArray(cols, cols, fit.unscaledCovariance.data))
          expect(back.sub(OracleMatrix.eye(cols)).abs().max()).toBeLessThan(1e-8)
        },
      ),
      { seed: 20260911, numRuns: 200 },
    )
  })

  test('residuals stand square on every column of the design', () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const random = seededRandom(seed)
        const design = matrixOf(20, 4, () => random.between(-1, 1))
        const y = Float64Array.from({ length: 20 }, () => random.between(-1, 1))
        const { residuals } = fitted(leastSquares(design, y))
        for (let j = 0; j < 4; j++)
          expect(Math.abs(residuals.reduce((sum, r, i) => sum + r * at(design, i, j), 0))).toBeLessThan(1e-13)
      }),
      { seed: 1, numRuns: 100 },
    )
  })

  test('a weight of two is the same as the row standing twice', () => {
    const design = matrixFromRows([
      [1, 0],
      [1, 1],
      [1, 2],
      [1, 4],
    ])
    const twice = matrixFromRows([
      [1, 0],
      [1, 1],
      [1, 1],
      [1, 2],
      [1, 4],
    ])
    const weighted = fitted(leastSquares(design, [0, 3, 3, 9], { weights: [1, 2, 1, 1] }))
    const doubled = fitted(leastSquares(twice, [0, 3, 3, 3, 9]))
    for (let j = 0; j < 2; j++) expect(weighted.parameters[j]).toBeCloseTo(doubled.parameters[j]!, 13)
    expect(weighted.rss).toBeCloseTo(doubled.rss, 12)
    expect(at(weighted.unscaledCovariance, 1, 1)).toBeCloseTo(at(doubled.unscaledCovariance, 1, 1), 13)
    expect(weighted.dof).toBe(2)
  })

  test('a row of weight 0 takes no part, even if its observation is no number', () => {
    const fit = fitted(leastSquares(line(5), [1, 2, NaN, 4, 5.1], { weights: [1, 1, 0, 1, 1] }))
    const without = fitted(
      leastSquares(
        matrixFromRows([
          [1, 0],
          [1, 1],
          [1, 3],
          [1, 4],
        ]),
        [1, 2, 4, 5.1],
      ),
    )
    expect(fit.dof).toBe(2)
    expect(fit.parameters[1]).toBeCloseTo(without.parameters[1]!, 13)
    expect(fit.rss).toBeCloseTo(without.rss, 13)
  })

  test('re-fits another vector with the same factors', () => {
    const random = seededRandom(5)
    const design = matrixOf(40, 5, () => random.normal())
    const factorised = factorise(design)
    if (factorised.kind !== 'factorised') throw new Error(factorised.kind)
    for (let n = 0; n < 5; n++) {
      const y = Float64Array.from({ length: 40 }, () => random.normal())
      expect([...factorised.parameters(y)]).toEqual([...fitted(leastSquares(design, y)).parameters])
    }
  })

  test('keeps all digits of an ill-conditioned design with exact entries', () => {
    // Columns 1, x, … x⁷ at x = 0…20: condition of the scaled design about 1e8.
    const design = matrixOf(21, 8, (i, j) => i ** j)
    const truth = [3, -1, 4, -1, 5, -9, 2, -6]
    const fit = fitted(leastSquares(design, multiplyVector(design, truth)))
    truth.forEach((value, j) => expect(Math.abs(fit.parameters[j]! / value - 1)).toBeLessThan(1e-14))
    expect(fit.rss).toBeLessThan(1e-100)
  })

  test('scaling a column scales its parameter and nothing else, to the last bits', () => {
    const random = seededRandom(8)
    const design = matrixOf(12, 3, () => random.normal())
    const y = Float64Array.from({ length: 12 }, () => random.normal())
    const plain = fitted(leastSquares(design, y))
    const stretched = fitted(
      leastSquares(
        matrixOf(12, 3, (i, j) => at(design, i, j) * (j === 1 ? 2 ** 40 : 1)),
        y,
      ),
    )
    expect(stretched.parameters[1]! * 2 ** 40).toBe(plain.parameters[1])
    expect(stretched.parameters[0]).toBe(plain.parameters[0])
  })
})

describe('what cannot be fitted is said, not computed', () => {
  test('fewer rows than parameters', () => {
    expect(leastSquares(line(1), [1])).toEqual({ kind: 'too-few-rows', have: 1, need: 2 })
    expect(leastSquares(line(3), [1, 2, 3], { weights: [1, 0, 0] })).toEqual({ kind: 'too-few-rows', have: 1, need: 2 })
  })

  test('columns that repeat others, with their numbers', () => {
    const design = matrixOf(10, 3, (i, j) => [1, i, 2 * i + 3][j]!)
    const outcome = leastSquares(design, new Float64Array(10))
    expect(outcome).toMatchObject({ kind: 'rank-deficient', rank: 2, columns: 3 })
  })

  test('a column of zeros', () => {
    const design = matrixOf(10, 3, (i, j) => [1, 0, i][j]!)
    expect(leastSquares(design, new Float64Array(10))).toMatchObject({ kind: 'rank-deficient', dependent: [1] })
  })

  test('marks that all stand on one instant', () => {
    expect(
      leastSquares(
        matrixOf(6, 3, (_, j) => 0.4 ** j),
        new Float64Array(6),
      ),
    ).toMatchObject({
      kind: 'rank-deficient',
      rank: 1,
    })
  })

  test('numbers that are none', () => {
    expect(leastSquares(matrixFromRows([[1], [NaN]]), [1, 2])).toEqual({ kind: 'not-finite', where: 'design', row: 1 })
    expect(leastSquares(matrixFromRows([[1], [1]]), [Infinity, 2])).toEqual({
      kind: 'not-finite',
      where: 'observations',
      row: 0,
    })
    expect(leastSquares(matrixFromRows([[1], [1]]), [1, 2], { weights: [1, -1] })).toMatchObject({ where: 'weights' })
  })

  test('as many rows as parameters leave no scatter to judge by', () => {
    const fit = fitted(leastSquares(line(2), [1, 3]))
    expect(fit.parameters[0]).toBeCloseTo(1, 14)
    expect(fit.parameters[1]).toBeCloseTo(2, 14)
    expect(fit).toMatchObject({ dof: 0, residualVariance: null, scaledCovariance: null, standardErrors: null })
  })
})

describe('sums in extended precision', () => {
  test('lose nothing where plain sums lose everything', () => {
    expect(accurateSum([1e16, 1, -1e16])).toBe(1)
    expect(accurateDot([1e8 + 1, 1e8], [1e8 - 1, -1e8])).toBe(-1)
  })
})
