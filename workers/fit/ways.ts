import type { Estimate } from '../record/index.ts'
import { combineEstimates, combinedRandom, estimateOf, type SourceBook } from './estimates.ts'
import { resistanceTwoWay } from './resistance.ts'
import type { SeriesResult, Way } from './results.ts'
import { effectsOf, resistancePerAcceleration, type SeriesEvaluation } from './quantity.ts'
import type { Moved } from './speed-curve.ts'
import type { SeriesNumbers } from './evaluate.ts'

/** Every way to the resistance that the series of one lane and finish allow, the smallest U first. */
export function waysOf(
  book: SourceBook,
  evaluations: readonly SeriesEvaluation[],
  results: readonly SeriesResult[],
): Way[] {
  const ways: Way[] = []
  for (const [i, result] of results.entries()) {
    if (!result.crr) continue
    const kind = result.direction === 'level' ? 'level' : result.direction === 'down' ? 'down-slope' : 'up-slope'
    ways.push({
      kind,
      mountingIds: [result.mountingId],
      ballId: result.ballId,
      crr: result.crr,
      slope: null,
      runs: evaluations[i]!.plan.runs.length,
    })
  }
  const oneWay = ways.slice()
  for (const down of evaluations) {
    if (down.plan.travel !== 1) continue
    const up = evaluations.find(
      ({ plan }) => plan.travel === -1 && plan.mountingId === down.plan.mountingId && plan.ballId === down.plan.ballId,
    )
    const way = up && twoWay(book, down, up)
    if (way) ways.push(way)
  }
  for (const ballId of new Set(oneWay.map((way) => way.ballId))) {
    const several = oneWay.filter((way) => way.ballId === ballId)
    if (new Set(several.flatMap((way) => way.mountingIds)).size > 1) ways.push(meanOfWays(book, several))
  }
  return ways.sort((a, b) => a.crr.U - b.crr.U)
}

/** Down and up on one mounting: slope and resistance together, nothing about the slope needs to be known. */
function twoWay(book: SourceBook, down: SeriesEvaluation, up: SeriesEvaluation): Way | null {
  const both = (d: SeriesNumbers, u: SeriesNumbers) => resistanceTwoWay(d, u)
  const value = both(down.base, up.base)
  if (!value) return null
  const moved = new Map<string, Moved<{ crr: number; slope_rad: number } | null>>()
  for (const id of new Set([...down.moved.keys(), ...up.moved.keys()])) {
    const d = down.moved.get(id)
    const u = up.moved.get(id)
    moved.set(id, {
      plus: both(d?.plus ?? down.base, u?.plus ?? up.base),
      minus: both(d?.minus ?? down.base, u?.minus ?? up.base),
    })
  }
  const random = [down, up].map((evaluation) => {
    const perAcceleration = resistancePerAcceleration({ ...evaluation.base, slope_rad: value.slope_rad }) ?? 0
    return { weight: perAcceleration / 2, random: evaluation.plan.fit.random }
  })
  const scatter = combinedRandom(random)
  return {
    kind: 'two-way',
    mountingIds: [down.plan.mountingId],
    ballId: down.plan.ballId,
    crr: estimateOf(
      book,
      '1',
      value.crr,
      effectsOf(moved, value.crr, (n) => n?.crr ?? null),
      scatter,
    ),
    // ∂θ/∂a = k/(2g cos θ) for each direction: the same scatter as the resistance's.
    slope: estimateOf(
      book,
      'rad',
      value.slope_rad,
      effectsOf(moved, value.slope_rad, (n) => n?.slope_rad ?? null),
      scatter,
    ),
    runs: down.plan.runs.length + up.plan.runs.length,
  }
}

/** Mean of one-way results of several mountings, weighted by 1/u²; what they share stays, what was set anew averages. */
function meanOfWays(book: SourceBook, ways: readonly Way[]): Way {
  const raw = ways.map(({ crr }) => 1 / crr.u ** 2)
  const total = raw.reduce((sum, w) => sum + w, 0)
  const crr: Estimate = combineEstimates(
    book,
    '1',
    ways.map(({ crr: estimate }, i) => ({ weight: raw[i]! / total, estimate })),
  )
  return {
    kind: 'several-mountings',
    mountingIds: [...new Set(ways.flatMap((way) => way.mountingIds))],
    ballId: ways[0]!.ballId,
    crr,
    slope: null,
    runs: ways.reduce((sum, way) => sum + way.runs, 0),
  }
}
