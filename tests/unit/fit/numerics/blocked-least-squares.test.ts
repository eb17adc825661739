import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { blockedLeastSquares, type Block } from '../../../../workers/fit/numerics/blocked-least-squares.ts'
import { leastSquares } from '../../../../workers/fit/numerics/least-squares.ts'
import { at, matrixOf } from '../../../../workers/fit/numerics/matrix.ts'
import { seededRandom, type Random } from '../../../../workers/fit/numerics/random.ts'

function randomBlock(random: Random, rows: number, own: number, shared: number): Block {
  return {
    own: matrixOf(rows, own, () => random.normal()),
    shared: matrixOf(rows, shared, () => random.normal()),
    observations: Float64Array.from({ length: rows }, () => random.normal()),
    weights: Float64Array.from({ length: rows }, () => random.between(0.3, 2)),
  }
}

/** The one large problem that the blocks stand for. */
function wholeFit(blocks: readonly Block[], own: number, shared: number) {
  const rowsOf = blocks.flatMap((block, b) => Array.from({ length: block.own.rows }, (_, i) => ({ block, b, i })))
  const design = matrixOf(rowsOf.length, own * blocks.length + shared, (r, c) => {
    const { block, b, i } = rowsOf[r]!
    if (c >= own * blocks.length) return at(block.shared, i, c - own * blocks.length)
    return Math.floor(c / own) === b ? at(block.own, i, c % own) : 0
  })
  const fit = leastSquares(
    design,
    rowsOf.map(({ block, i }) => block.observations[i]!),
    { weights: rowsOf.map(({ block, i }) => block.weights![i]!) },
  )
  if (fit.kind !== 'fitted') throw new Error(fit.kind)
  return fit
}

describe('least squares in blocks', () => {
  test('is the same as the one large problem: parameters, covariance, sum of squares, degrees of freedom', () => {
    const sizes = fc.tuple(
      fc.integer(),
      fc.integer({ min: 1, max: 3 }),
      fc.integer({ min: 1, max: 4 }),
      fc.integer({ min: 2, max: 5 }),
    )
    fc.assert(
      fc.property(sizes, ([seed, own, shared, count]) => {
        const random = seededRandom(seed)
        // Some blocks have fewer rows left than there are shared parameters.
        const blocks = Array.from({ length: count }, (_, b) =>
          randomBlock(random, own + (b === 0 ? 12 : 1 + random.below(8)), own, shared),
        )
        const blocked = blockedLeastSquares(blocks)
        if (blocked.kind !== 'fitted') throw new Error(blocked.kind)
        const whole = wholeFit(blocks, own, shared)
        const base = own * count
        for (let j = 0; j < shared; j++) expect(blocked.shared[j]).toBeCloseTo(whole.parameters[base + j]!, 9)
        expect(blocked.rss).toBeCloseTo(whole.rss, 9)
        expect(blocked.dof).toBe(whole.dof)
        blocks.forEach((_, b) => {
          const joint = blocked.covarianceWithShared(b)
          const places = [...Array(own).keys()]
            .map((i) => b * own + i)
            .concat([...Array(shared).keys()].map((j) => base + j))
          for (let i = 0; i < own; i++) expect(blocked.own[b]![i]).toBeCloseTo(whole.parameters[b * own + i]!, 8)
          places.forEach((row, i) =>
            places.forEach((col, j) => {
              const expected = at(whole.unscaledCovariance, row, col)
              expect(Math.abs(at(joint, i, j) - expected)).toBeLessThan(1e-8 * (1 + Math.abs(expected)))
            }),
          )
        })
      }),
      { seed: 17, numRuns: 100 },
    )
  })

  test('names the run that cannot carry its own parameters', () => {
    const random = seededRandom(2)
    const good = randomBlock(random, 8, 2, 1)
    const still = { ...good, own: matrixOf(8, 2, () => 1) }
    expect(blockedLeastSquares([good, still])).toMatchObject({
      kind: 'block-failed',
      block: 1,
      failure: { kind: 'rank-deficient' },
    })
  })

  test('says when no run tells anything about a shared parameter', () => {
    const random = seededRandom(3)
    const blind = { ...randomBlock(random, 8, 2, 1), shared: matrixOf(8, 1, () => 0) }
    expect(blockedLeastSquares([blind, blind])).toMatchObject({ kind: 'rank-deficient', dependent: [0] })
  })
})
