import { describe, expect, test } from 'vitest'
import { oneSidedToleranceFactor } from '../../workers/fit/numerics/noncentral-t.ts'
import { power, runsNeeded, smallestDetectable } from '../../workers/decide/detectable.ts'
import { holm } from '../../workers/decide/holm.ts'
import {
  hodgesLehmannCentre,
  hodgesLehmannShift,
  permutationTest,
  signedRank,
} from '../../workers/decide/rank-tests.ts'
import { cleanPassagesFor, countedProof, stallChance } from '../../workers/decide/trials.ts'
import { pairedDifference, welch } from '../../workers/decide/two-samples.ts'
import { flatWashers } from '../../workers/decide/washers.ts'

const never = (): number => {
  throw new Error('an exact test draws nothing')
}

describe("Student's sleep data (Student, Biometrika 6 (1908) 20; as in R's data set `sleep`, numbers from memory, recomputed)", () => {
  const drugA = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
  const drugB = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]

  test('Welch: t, degrees of freedom, p and interval', () => {
    const result = welch(drugA, drugB, 0.95)
    if (result.kind !== 'difference') throw new Error(result.kind)
    expect(result.t).toBeCloseTo(-1.86081, 5)
    expect(result.dof).toBeCloseTo(17.7765, 4)
    expect(result.p).toBeCloseTo(0.0793941, 7)
    expect(result.interval[0]).toBeCloseTo(-3.36548, 5)
    expect(result.interval[1]).toBeCloseTo(0.205483, 5)
  })

  test('paired: t, p and interval', () => {
    const result = pairedDifference(drugA, drugB, 0.95)
    if (result.kind !== 'difference') throw new Error(result.kind)
    expect(result.t).toBeCloseTo(-4.062128, 6)
    expect(result.p).toBeCloseTo(0.00283289, 8)
    expect(result.interval[0]).toBeCloseTo(-2.459886, 6)
    expect(result.interval[1]).toBeCloseTo(-0.700114, 6)
  })
})

test('Wilcoxon signed rank on the depression scale (Hollander & Wolfe, Nonparametric Statistical Methods, 1973, p. 29 f.; from memory)', () => {
  const before = [1.83, 0.5, 1.62, 2.48, 1.68, 1.88, 1.55, 3.06, 1.3]
  const after = [0.878, 0.647, 0.598, 2.05, 1.06, 1.29, 1.06, 3.14, 1.29]
  const differences = before.map((value, i) => value - after[i]!)
  const result = signedRank(differences)
  expect(result.v).toBe(40)
  expect(result.pGreater).toBeCloseTo(0.01953, 5)
  expect(hodgesLehmannCentre(differences)).toBeCloseTo(0.46, 2)
})

test('Holm on four p-values (worked example: S. Holm, Scand. J. Statist. 6 (1979); values as R p.adjust gives, from memory)', () => {
  for (const [i, expected] of [0.03, 0.06, 0.06, 0.02].entries())
    expect(holm([0.01, 0.04, 0.03, 0.005])[i]).toBeCloseTo(expected, 12)
})

describe('a change from 5.96 to 4.26 thousandths, five runs each (worked example, recomputed independently with scipy)', () => {
  const before = [5.8e-3, 6.1e-3, 5.5e-3, 6.4e-3, 6.0e-3]
  const after = [4.1e-3, 4.6e-3, 4.3e-3, 3.9e-3, 4.4e-3]

  test('Welch', () => {
    const result = welch(before, after, 0.95)
    if (result.kind !== 'difference') throw new Error(result.kind)
    expect(result.t).toBeCloseTo(8.81409, 5)
    expect(result.dof).toBeCloseTo(7.64637, 5)
    expect(result.interval[0]).toBeCloseTo(0.00125163, 8)
    expect(result.interval[1]).toBeCloseTo(0.00214837, 8)
  })

  test('permutation, exact: 2 of 252', () => {
    expect(permutationTest(before, after, never)).toEqual({ p: 2 / 252, leastPossible: 2 / 252, exact: true })
  })

  test('Hodges–Lehmann', () => {
    expect(hodgesLehmannShift(after, before)).toBeCloseTo(0.0017, 12)
  })
})

test('the least p that a permutation can give: 2/C(2n, n) (counting)', () => {
  const least = (n: number): number =>
    permutationTest(
      Array.from({ length: n }, (_, i) => i),
      Array.from({ length: n }, (_, i) => 100 + i),
      never,
    ).p
  expect(least(3)).toBeCloseTo(0.1, 12)
  expect(least(4)).toBeCloseTo(2 / 70, 12)
  expect(least(5)).toBeCloseTo(2 / 252, 12)
})

test('smallest detectable change and runs needed (noncentral t, recomputed with scipy; agrees with Cohen 1988 table 2.4.1, from memory)', () => {
  const table: [number, number][] = [[3, 3.0709], [4, 2.3808], [5, 2.0244], [6, 1.7955], [8, 1.5066], [10, 1.3249], [15, 1.0598], [20, 0.9091], [30, 0.7356]] // prettier-ignore
  for (const [n, d] of table) expect(smallestDetectable(n)).toBeCloseTo(d, 3)
  const runs: [number, number][] = [[0.5, 64], [0.8, 26], [1, 17], [1.5, 9], [2, 6], [3, 4]] // prettier-ignore
  for (const [d, n] of runs) expect(runsNeeded(d)).toBe(n)
  expect(power(smallestDetectable(7), 7, 0.05)).toBeCloseTo(0.8, 8)
})

describe('tolerance limits and proofs by counting', () => {
  test('factors of CMH-17-1G, k_B (0.90/0.95) and k_A (0.99/0.95), as published to three decimals', () => {
    const b: [number, number][] = [[5, 3.408], [10, 2.355], [20, 1.927]] // prettier-ignore
    // The handbook's own approximation is off by up to 2 in the last place.
    for (const [n, k] of b) expect(Math.abs(oneSidedToleranceFactor(n, 0.9, 0.95) - k)).toBeLessThan(0.002)
    const a: [number, number][] = [[5, 5.741], [10, 3.981], [20, 3.295]] // prettier-ignore
    for (const [n, k] of a) expect(Math.abs(oneSidedToleranceFactor(n, 0.99, 0.95) - k)).toBeLessThan(0.001)
  })

  test('zero stalls in n passages prove p < 1 − .05^(1/n) (exact binomial)', () => {
    const table: [number, number][] = [[10, 0.259], [59, 0.0495], [299, 0.00997]] // prettier-ignore
    for (const [n, p] of table) {
      const proof = countedProof(n, 0, 0.95)
      if (proof.kind !== 'proof') throw new Error(proof.kind)
      expect(proof.below).toBeCloseTo(1 - 0.05 ** (1 / n), 10)
      expect(Math.abs(proof.below - p)).toBeLessThan(5e-4)
    }
  })

  test('"one in 20" takes 59 clean passages, "one in 100" 299 (exact binomial, the classical 95/95 and 95/99 plans)', () => {
    expect(cleanPassagesFor(20, 0.95)).toBe(59)
    expect(cleanPassagesFor(100, 0.95)).toBe(299)
  })

  test('start angles of eight balls: limit and chance of a stall at 1.0° (recomputed with scipy)', () => {
    const starts = [0.0121, 0.0134, 0.0118, 0.0142, 0.0127, 0.0131, 0.0125, 0.0138]
    const result = stallChance(starts, Math.tan(Math.PI / 180))
    if (result.kind !== 'chance') throw new Error(result.kind)
    expect(result.chance).toBeCloseTo(6.85e-4, 6)
    expect(result.floor).toBeCloseTo(1 - 0.05 ** (1 / 8), 10)
  })
})

test('ISO 7089 nominal thicknesses of flat washers', () => {
  expect(flatWashers.map((washer) => [washer.size, washer.thickness_m * 1e3])).toEqual([
    ['M3', 0.5],
    ['M4', 0.8],
    ['M5', 1],
    ['M6', 1.6],
    ['M8', 1.6],
    ['M10', 2],
  ])
})
