import { compare, type Comparison } from '../../workers/decide/compare.ts'
import { smallestDetectable } from '../../workers/decide/detectable.ts'
import { laneMargin } from '../../workers/decide/margin.ts'
import { leansToOneSide } from '../../workers/decide/trials.ts'
import { normalCdf, normalQuantile } from '../../workers/fit/numerics/normal.ts'
import { seededRandom, type Random } from '../../workers/fit/numerics/random.ts'
import type { SourceBook } from '../../workers/fit/estimates.ts'
import type { Distribution } from '../../workers/record/index.ts'
import { gravity, madeLane, madeRecord } from '../support/made-lane.ts'

export interface Figure {
  readonly name: string
  readonly value: number
  readonly unit: string
}

const degree = Math.PI / 180
/** An inclinometer good to ± 0.05°, read anew after every fixing. */
const inclinometer: Distribution = { kind: 'rectangular', half: 0.05 * degree }
const slope_u = (0.05 * degree) / Math.sqrt(3)
const book: SourceBook = {
  coverage: 0.95,
  sources: Object.fromEntries(
    ['slope-1', 'slope-2'].map((id) => [id, { id, name: id, unit: 'rad' as const, distribution: inclinometer }]),
  ),
}

/** Two sets of runs drawn with a true change between them; `refit`: the lane was fixed anew, its slope read anew. */
function drawn(
  random: Random,
  change: number,
  options: { runs: readonly [number, number]; scatter: number; refit: boolean },
): Comparison {
  const level = random.between(0.004, 0.012)
  const side = (index: 0 | 1) => {
    const id = options.refit && index === 1 ? 'slope-2' : 'slope-1'
    return {
      id,
      crr: Array.from(
        { length: options.runs[index] },
        () => level + index * change + options.scatter * random.normal(),
      ),
    }
  }
  const errors: Record<string, number> = {
    'slope-1': random.between(-0.05, 0.05) * degree,
    'slope-2': random.between(-0.05, 0.05) * degree,
  }
  const [first, second] = ([0, 1] as const).map((index) => {
    const { id, crr } = side(index)
    const lane = madeLane(book, {
      finish: index === 0 ? 'cut' : 'sanded',
      mounting: id,
      crr,
      slopeError_rad: errors[id]!,
      slopeSource: { id, distribution: inclinometer, u: slope_u },
    })
    return { lane, series: lane.series[0]! }
  })
  const outcome = compare(book, first!, second!, 'crr', 0.001, gravity)
  if (outcome.kind !== 'comparison') throw new Error(`two good sets of runs were not compared: ${outcome.kind}`)
  return outcome
}

/** Share of 95 % intervals of a difference that hold the true one: equal and unequal numbers of runs, with and without a refit. */
export function compareCoverage(rounds: number, seed: number, refit?: boolean): number {
  const random = seededRandom(seed)
  let held = 0
  for (let i = 0; i < rounds; i++) {
    const change = random.between(-0.004, 0.004)
    const runs = [4 + random.below(5), 4 + random.below(5)] as const
    const { difference } = drawn(random, change, { runs, scatter: 0.0004, refit: refit ?? i % 2 === 1 })
    if (difference.interval[0] <= change && change <= difference.interval[1]) held++
  }
  return held / rounds
}

/** Share of true changes of 1.5 times the smallest detectable one, on one mounting, whose interval leaves zero out. */
export function comparePower(rounds: number, seed: number): number {
  const random = seededRandom(seed)
  const scatter = 0.0004
  let found = 0
  for (let i = 0; i < rounds; i++) {
    const n = 4 + random.below(5)
    const change = 1.5 * smallestDetectable(n) * scatter
    const { difference } = drawn(random, -change, { runs: [n, n], scatter, refit: false })
    if (difference.interval[1] < 0) found++
  }
  return found / rounds
}

export interface Held {
  /** Share of lanes whose needed slope holds for the stated share of passages. */
  readonly held: number
  /** Share of lanes that were warned about as leaning to one side. */
  readonly warned: number
}

/** How often the needed slope holds what it says, over lanes whose C_rr scatters like a bell or (skewed) as an exponential does. */
export function toleranceHolds(rounds: number, seed: number, skewed: boolean): Held {
  const random = seededRandom(seed)
  const record = madeRecord()
  const { share } = record.settings.reliability
  const plain: SourceBook = { coverage: 0.95, sources: {} }
  let held = 0
  let warned = 0
  for (let i = 0; i < rounds; i++) {
    const n = skewed ? 12 : 5 + random.below(6)
    const scatter = 0.0005
    const crr = Array.from({ length: n }, () =>
      skewed ? 0.008 - scatter * Math.log(1 - random.uniform()) : 0.008 + scatter * random.normal(),
    )
    const margin = laneMargin(record, plain, madeLane(plain, { crr }))
    if (margin.kind !== 'margin') throw new Error(`a good lane has no margin: ${margin.kind}`)
    const beyond = (margin.moving.tangent - 0.008) / scatter
    const below = skewed ? 1 - Math.exp(-Math.max(0, beyond)) : normalCdf(beyond)
    if (below >= share) held++
    if (leansToOneSide(crr) === 'yes') warned++
  }
  return { held: held / rounds, warned: warned / rounds }
}

/** Half width of the interval of a ratio near p after so many rounds: what these figures are good for. */
export const roundsError = (p: number, rounds: number): number =>
  normalQuantile(0.975) * Math.sqrt((p * (1 - p)) / rounds)

/** What comparisons and margins promise, counted on made lanes. */
export function run(): Promise<Figure[]> {
  const skewed = toleranceHolds(4000, 5, true)
  return Promise.resolve([
    { name: 'decide.compare_coverage', value: compareCoverage(8000, 1, false), unit: '1' },
    { name: 'decide.compare_coverage_refit', value: compareCoverage(4000, 2, true), unit: '1' },
    { name: 'decide.compare_power', value: comparePower(6000, 3), unit: '1' },
    { name: 'decide.tolerance_holds', value: toleranceHolds(8000, 4, false).held, unit: '1' },
    { name: 'decide.tolerance_holds_skewed', value: skewed.held, unit: '1' },
    { name: 'decide.skewed_warned', value: skewed.warned, unit: '1' },
  ])
}
