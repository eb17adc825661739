import jstat from 'jstat'
import tQuantile from '@stdlib/stats-base-dists-t-quantile'
import { describe, expect, test } from 'vitest'
import {
  changedLane,
  laneMargin,
  laneSetting,
  shimFor,
  supportsOf,
  toleranceFactor,
} from '../../workers/decide/index.ts'
import { hodgesLehmannShift, mean, permutationTest } from '../../workers/decide/rank-tests.ts'
import { countedProof } from '../../workers/decide/trials.ts'
import { variance, welch } from '../../workers/decide/two-samples.ts'
import { seededRandom } from '../../workers/fit/numerics/random.ts'
import {
  ballsOnLane,
  capacity_per_s,
  impactOnResting,
  releaseInterval_s,
  standardisedClearance,
} from '../../workers/physics/queue.ts'
import { normalCdf } from '../../workers/fit/numerics/normal.ts'
import { massFromDensity_kg } from '../../workers/physics/ball.ts'
import { madeLane, madeRecord } from '../support/made-lane.ts'
import computed from './data/computed-with-scipy.json' with { type: 'json' }

const degree = Math.PI / 180
const book = { coverage: 0.95, sources: {} }
const never = (): number => {
  throw new Error('an exact test draws nothing')
}

test('Wilcoxon rank sum on permeability (Hollander & Wolfe 1973, p. 69 f.; as in R’s help on wilcox.test, from memory): W = 35, one-sided p = 0.12721, shift 0.305', () => {
  const term = [0.8, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46]
  const earlier = [1.15, 0.88, 0.9, 0.74, 1.21]
  const w = term.reduce((sum, x) => sum + earlier.filter((y) => y < x).length, 0)
  expect(w).toBe(35)
  const sorted = [...term, ...earlier].sort((a, b) => a - b)
  const ranks = (values: readonly number[]) => values.map((value) => sorted.indexOf(value) + 1)
  // Rank sums are symmetric: two-sided is twice one-sided.
  expect(permutationTest(ranks(term), ranks(earlier), never).p / 2).toBeCloseTo(0.12721, 5)
  expect(hodgesLehmannShift(earlier, term)).toBeCloseTo(0.305, 12)
})

test('tolerance factors K for n = 2 … 100 as computed with scipy from the noncentral t', () => {
  let compared = 0
  for (const [name, byN] of Object.entries(computed.tolerance_one_sided_k)) {
    const [, share, confidence] = /^P([\d.]+)_conf([\d.]+)$/.exec(name)!
    for (const n of [2, 3, 5, 10, 30, 100]) {
      const expected = (byN as Record<string, number>)[String(n)]!
      expect(
        Math.abs(toleranceFactor(n, { share: Number(share), confidence: Number(confidence) }) - expected),
      ).toBeLessThan(1e-4)
      compared++
    }
  }
  expect(compared).toBeGreaterThanOrEqual(24)
})

test('ISO 16269-6, one-sided limits, unknown standard deviation: k(10; 0.95/0.95) = 2.911, k(20; 0.99/0.95) = 3.296 (from memory)', () => {
  // The standard's table is rounded to four figures.
  expect(toleranceFactor(10, { share: 0.95, confidence: 0.95 })).toBeCloseTo(2.911, 3)
  expect(Math.abs(toleranceFactor(20, { share: 0.99, confidence: 0.95 }) - 3.296)).toBeLessThan(0.001)
})

describe('needed slope and shim (worked examples, recomputed independently with scipy)', () => {
  const starts = [0.0121, 0.0134, 0.0118, 0.0142, 0.0127, 0.0131, 0.0125, 0.0138]

  test('eight start tangents: 99 % with 95 % confidence from 0.0165628, 0.9489°', () => {
    const record = madeRecord()
    record.trials['t'] = {
      kind: 'start-angles', id: 't', laneId: 'A', mountingId: null, finishId: 'cut', ballId: null, angles_rad: starts.map(Math.atan),
    } // prettier-ignore
    const margin = laneMargin(record, book, madeLane(book, { crr: [0.008, 0.0081, 0.0079] }))
    if (margin.kind !== 'margin') throw new Error(margin.kind)
    expect(margin.fromRest!.tangent).toBeCloseTo(0.0165628, 6)
    expect(Math.atan(margin.fromRest!.tangent) / degree).toBeCloseTo(0.9489, 3)
  })

  test('500 mm of base from 1.5° to 2.2°: 6.105 mm along the lane', () => {
    const record = madeRecord(['A'], 1.5 * degree)
    const setting = laneSetting(record, book, madeLane(book, { crr: [0.008, 0.008], slope_rad: 1.5 * degree }))
    if (setting.kind !== 'setting') throw new Error(setting.kind)
    const shim = shimFor(book, setting, supportsOf(record, 'A'), 2.2 * degree)
    if (shim.kind !== 'shim') throw new Error(shim.kind)
    expect(shim.lifts[0]!.height_m * 1000).toBeCloseTo(6.105, 3)
  })

  test('2°, 0.8 m, k = 1.8, c = 0.008 from rest: 0.484279 m/s after 3.3039 s; ± 0.0005 of c is 0.0045 m/s', () => {
    const at = { slope_rad: 2 * degree, length_m: 0.8, entry_m_s: 0 } as const
    const record = madeRecord(['A'], at.slope_rad)
    const setting = laneSetting(record, book, madeLane(book, { ...at, crr: [0.008, 0.008] }))
    if (setting.kind !== 'setting') throw new Error(setting.kind)
    expect(setting.series.exit!.filmed.value).toBeCloseTo(0.484279, 6)
    expect(setting.series.transit!.value).toBeCloseTo(3.3039, 4)
    const after = changedLane(book, setting, { slope_rad: at.slope_rad, crr: 0.0085 })
    if (after.kind !== 'changed') throw new Error(after.kind)
    expect(setting.series.exit!.filmed.value - after.exit.value).toBeCloseTo(0.0045, 4)
  })
})

describe('balls one after another', () => {
  test('Little’s law: balls on a lane are rate × time on it (J. D. C. Little, Operations Research 9 (1961) 383)', () => {
    // A queue walked through ball by ball: the time average of the number present.
    const random = seededRandom(9)
    let clock = 0
    let present_s = 0
    const count = 20_000
    for (let i = 0; i < count; i++) {
      clock += 0.4 + 0.4 * random.uniform()
      present_s += 2 + random.uniform()
    }
    expect(ballsOnLane(count / clock, present_s / count)).toBeCloseTo(present_s / clock, 9)
  })

  test('0.4 m/s and 16 mm: 25 a second; from rest at 0.3 m/s² one gate lets go every 0.3266 s (from memory: kinematics)', () => {
    expect(capacity_per_s(0.4, 0.008)).toBeCloseTo(25, 12)
    expect(releaseInterval_s(0.008, 0.3)).toBeCloseTo(0.3266, 4)
  })

  test('chance that two touch: normal tail of the clearance, against draws', () => {
    const table = [[0.08, 0.0786], [0.1, 0.0169], [0.15, 5e-5]] as const // prettier-ignore
    const random = seededRandom(4)
    for (const [interval, expected] of table) {
      const p = normalCdf(-standardisedClearance(interval, 0.4, 0.008, 0.02))
      expect(Math.abs(p - expected)).toBeLessThan(0.01 * expected + 1e-5)
      const draws = 40_000
      let touches = 0
      for (let i = 0; i < draws; i++) if (interval + 0.02 * (random.normal() - random.normal()) < 0.016 / 0.4) touches++
      // Four standard deviations of the count.
      expect(Math.abs(touches / draws - p)).toBeLessThan(4 * Math.sqrt((p * (1 - p)) / draws) + 1e-4)
    }
  })

  test('a rolling ball hits a resting one on the flat: 2/7 and 5/7 of the speed, 59.18 % of the energy', () => {
    const hit = impactOnResting(1.4)
    expect(hit.striker).toBeCloseTo(2 / 7, 12)
    expect(hit.struck).toBeCloseTo(5 / 7, 12)
    expect(hit.energyKept).toBeCloseTo(0.5918, 4)
  })
})

test('masses of balls of the nominal sizes of ISO 3290-1 in steel of 7.83 g/cm³, grams; a maker’s count of 59.5 to the kilogram at 16 mm gives 16.81', () => {
  const table = [[6, 0.886], [8, 2.099], [10, 4.1], [12.7, 8.398], [16, 16.793], [25.4, 67.183]] as const // prettier-ignore
  for (const [diameter_mm, grams] of table)
    expect(massFromDensity_kg({ radius_m: diameter_mm / 2000 }, 7830) * 1000).toBeCloseTo(grams, 3)
  expect(Math.abs(massFromDensity_kg({ radius_m: 0.008 }, 7830) * 1000 - 1000 / 59.5)).toBeLessThan(0.02)
})

describe('against general-purpose statistics libraries at random inputs', () => {
  const random = seededRandom(17)
  const sample = (n: number, centre: number, scatter: number) =>
    Array.from({ length: n }, () => centre + scatter * random.normal())

  test('Welch: p against jStat’s t distribution, interval against @stdlib’s t quantile', () => {
    for (let i = 0; i < 60; i++) {
      const [x, y] = [sample(2 + random.below(12), 1, 0.3), sample(2 + random.below(12), 1.2, 0.6)]
      const result = welch(x, y, 0.95)
      if (result.kind !== 'difference') throw new Error(result.kind)
      const [vx, vy] = [jstat.variance(x, true) / x.length, jstat.variance(y, true) / y.length]
      const dof = (vx + vy) ** 2 / (vx ** 2 / (x.length - 1) + vy ** 2 / (y.length - 1))
      const t = (jstat.mean(x) - jstat.mean(y)) / Math.sqrt(vx + vy)
      expect(result.t).toBeCloseTo(t, 9)
      expect(result.p).toBeCloseTo(2 * jstat.studentt.cdf(-Math.abs(t), dof), 7)
      expect(result.interval[1] - result.difference).toBeCloseTo(tQuantile(0.975, dof) * Math.sqrt(vx + vy), 7)
      expect(mean(x)).toBeCloseTo(jstat.mean(x), 12)
      expect(variance(x)).toBeCloseTo(jstat.variance(x, true), 12)
    }
  })

  test('counted passages: at the limit, so few stalls have a chance of 5 % (jStat’s binomial)', () => {
    for (let i = 0; i < 40; i++) {
      const passages = 5 + random.below(300)
      const stalls = random.below(Math.min(passages, 6))
      const proof = countedProof(passages, stalls, 0.95)
      if (proof.kind !== 'proof') throw new Error(proof.kind)
      const atMost = Array.from({ length: stalls + 1 }, (_, k) => jstat.binomial.pdf(k, passages, proof.below))
      expect(atMost.reduce((a, b) => a + b, 0)).toBeCloseTo(0.05, 6)
    }
  })
})
