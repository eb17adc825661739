import type { Distribution, SlowlaneRecord } from '../record/index.ts'
import type { SourceBook } from './estimates.ts'
import {
  evaluateSeries,
  noProbes,
  plannedNumbers,
  Settings,
  type Places,
  type SeriesNumbers,
  type SeriesPlan,
} from './evaluate.ts'
import { sourceBookOf } from './lane-results.ts'
import type { Random } from './numerics/random.ts'
import { planLane } from './plan.ts'
import { meanOf } from './quantity.ts'
import { relevantSources } from './relevant-sources.ts'
import { resistanceOneWay, resistanceTwoWay } from './resistance.ts'

/** Which of a lane's results a draw gives. `series` counts as in the lane's result. */
export type DrawnQuantity =
  | { readonly kind: 'acceleration' | 'entry' | 'exit' | 'crr'; readonly series: number }
  | { readonly kind: 'crr-two-way'; readonly down: number; readonly up: number }

/** The distribution of one result after JCGM 101. */
export interface DrawnResult {
  readonly quantity: DrawnQuantity
  readonly mean: number
  readonly sd: number
  /** Between the quantiles that leave half of what the coverage leaves on either side. */
  readonly interval: readonly [number, number]
  readonly draws: number
}

export interface MonteCarloOutcome {
  readonly results: readonly DrawnResult[]
  readonly draws: number
  /** Draws in which pixels could not be turned into metres: sources far outside of what they can be. */
  readonly failed: number
}

/**
 * Propagates distributions (JCGM 101:2008, clause 7): every source of one lane and finish is drawn from its distribution, the marks' noise with its
 * correlation and with the doubt of its own size (Student's t), the spread between runs likewise; the whole chain from pixels to C_rr is computed
 * for each draw, without linearisation. The model is the one taken: doubt between models is not among what is drawn. A generator: yields the draws
 * done after each batch, so that it can be shown and stopped.
 */
export function* monteCarlo(
  record: SlowlaneRecord,
  laneId: string,
  finishId: string,
  draws: number,
  random: Random,
  batch = 250,
): Generator<{ readonly done: number; readonly of: number }, MonteCarloOutcome> {
  const book = sourceBookOf(record)
  const finish = planLane(record, laneId).finishes.find((one) => one.finishId === finishId)
  const series = finish?.series ?? []
  const ids = [...new Set(series.flatMap(({ plan }) => [...relevantSources(record, plan).all]))]
  const quantities = quantitiesOf(
    series.map(({ plan }) => plan),
    series.map(({ plan, places }) => plannedNumbers(record, plan, places)),
  )
  const values = quantities.map((): number[] => [])
  let failed = 0
  for (let k = 0; k < draws; k++) {
    if (k > 0 && k % batch === 0) yield { done: k, of: draws }
    const deviations = drawDeviations(book, ids, random)
    const settings = new Settings(record, deviations)
    const numbers = series.map((one) => drawSeries(record, one, deviations, settings, random))
    if (numbers.some((one) => one === undefined)) {
      failed++
      continue
    }
    for (const [q, { read }] of quantities.entries()) {
      const value = read(numbers as SeriesNumbers[])
      if (value !== null && Number.isFinite(value)) values[q]!.push(value)
    }
  }
  return {
    results: quantities.map(({ quantity }, q) => summary(quantity, values[q]!, book.coverage)),
    draws,
    failed,
  }
}

/** A draw of every source from its distribution, in the source's own unit. */
export function drawDeviations(book: SourceBook, ids: readonly string[], random: Random): Map<string, number> {
  const deviations = new Map<string, number>()
  for (const id of ids) {
    const distribution = book.sources[id]?.distribution
    if (distribution) deviations.set(id, drawOf(distribution, random))
  }
  return deviations
}

function drawOf(distribution: Distribution, random: Random): number {
  switch (distribution.kind) {
    case 'normal':
      return distribution.u * random.normal() * doubtOf(distribution.dof ?? Infinity, random)
    case 'rectangular':
      return random.between(-distribution.half, distribution.half)
    case 'triangular':
      return distribution.half * (random.uniform() - random.uniform())
  }
}

/** √(ν/χ²): makes a normal draw one of Student's t (JCGM 101, 6.4.9.4). χ² as a sum of squares, or normal for many degrees of freedom. */
function doubtOf(dof: number, random: Random): number {
  if (!(dof < 200)) return 1
  const whole = Math.max(1, Math.round(dof))
  let sum = 0
  for (let i = 0; i < whole; i++) sum += random.normal() ** 2
  return Math.sqrt(whole / sum)
}

function drawSeries(
  record: SlowlaneRecord,
  { plan, places }: { readonly plan: SeriesPlan; readonly places: Places },
  deviations: ReadonlyMap<string, number>,
  settings: Settings,
  random: Random,
): SeriesNumbers | undefined {
  const { noise } = plan.model
  const size = Math.sqrt(noise.scale2) * doubtOf(noise.dof, random)
  const fresh = Math.sqrt(1 - noise.rho * noise.rho)
  const numbers = evaluateSeries(record, plan, places, deviations, settings, true, noProbes, (i, s_m) => {
    const { sigma_m } = plan.runs[i]!.series
    let last = random.normal()
    return s_m.map((s, j) => {
      if (j > 0) last = noise.rho * last + fresh * random.normal()
      return s + size * sigma_m[j]! * last
    })
  })
  if (!numbers || plan.fit.between_m_s2 === null) return numbers
  const spread = Math.sqrt(plan.fit.weights.reduce((sum, weight) => sum + weight * weight, 0)) * plan.fit.between_m_s2
  const shift = spread * random.normal() * doubtOf(plan.runs.length - 1, random)
  return { ...numbers, acceleration_m_s2: numbers.acceleration_m_s2 + shift }
}

interface Reader {
  readonly quantity: DrawnQuantity
  readonly read: (numbers: readonly SeriesNumbers[]) => number | null
}

function quantitiesOf(plans: readonly SeriesPlan[], base: readonly SeriesNumbers[]): Reader[] {
  const readers: Reader[] = []
  for (const [series, { travel, mountingId, ballId }] of plans.entries()) {
    readers.push(
      { quantity: { kind: 'acceleration', series }, read: (n) => travel * n[series]!.acceleration_m_s2 },
      { quantity: { kind: 'entry', series }, read: (n) => meanOf(n[series]!.entry_m_s) },
      { quantity: { kind: 'exit', series }, read: (n) => meanOf(n[series]!.exit_m_s) },
      { quantity: { kind: 'crr', series }, read: (n) => resistanceOneWay(n[series]!, travel) },
    )
    if (travel !== 1) continue
    const up = plans.findIndex(
      (other) => other.travel === -1 && other.mountingId === mountingId && other.ballId === ballId,
    )
    if (up >= 0)
      readers.push({
        quantity: { kind: 'crr-two-way', down: series, up },
        read: (n) => resistanceTwoWay(n[series]!, n[up]!)?.crr ?? null,
      })
  }
  return readers.filter(({ read }) => read(base) !== null)
}

function summary(quantity: DrawnQuantity, values: number[], coverage: number): DrawnResult {
  values.sort((a, b) => a - b)
  const n = values.length
  const mean = values.reduce((sum, value) => sum + value, 0) / n
  const sd = Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (n - 1))
  return {
    quantity,
    mean,
    sd,
    interval: [quantile(values, (1 - coverage) / 2), quantile(values, (1 + coverage) / 2)],
    draws: n,
  }
}

/** Quantile of sorted values, straight between neighbours. */
function quantile(sorted: readonly number[], p: number): number {
  const place = Math.min(Math.max(p * sorted.length - 0.5, 0), sorted.length - 1)
  const low = Math.floor(place)
  const high = Math.min(low + 1, sorted.length - 1)
  return sorted[low]! + (place - low) * (sorted[high]! - sorted[low]!)
}
