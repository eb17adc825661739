import { assertNever, type SlowlaneRecord } from '../record/index.ts'
import type { AcrossLanes, ComparedPair, NotThere } from './across-lanes.ts'
import type { ComparedQuantity, Comparison, NoComparison } from './compare.ts'
import { counted, plain, plusMinus } from './figures.ts'
import type { LocalDifference } from './local-difference.ts'
import type { ByClip } from './by-clip.ts'
import type { OverlappingRuns } from './overlapping-marks.ts'
import type { RefitCost } from './refit-cost.ts'
import type { Settling } from './settling.ts'

const names: Readonly<Record<ComparedQuantity, string>> = {
  crr: 'C_rr',
  'exit-speed': 'the exit speed',
  transit: 'the time on the lane',
}
const unitsOf: Readonly<Record<ComparedQuantity, string>> = { crr: '', 'exit-speed': 'm/s', transit: 's' }

/** An amount of a quantity, with its unit. */
const amount = (quantity: ComparedQuantity, value: number): string =>
  `${plain(value, 2)}${unitsOf[quantity] === '' ? '' : ` ${unitsOf[quantity]}`}`

/** The verdict of a comparison, in words, with its number: “Yes: C_rr fell by 0.0040 ± 0.0005.” `against`: whose it is compared with, where the sides are two lanes. */
export function verdictSentence(pair: ComparedPair, against: string | null = null): string {
  const { outcome, verdict } = pair
  if (outcome.kind !== 'comparison' || verdict === null) return ''
  const { quantity, difference, matters } = outcome
  const what = names[quantity]
  const by = plusMinus(Math.abs(difference.value), difference.U, 1, unitsOf[quantity])
  switch (verdict) {
    case 'less':
      return `Yes: ${what} ${against === null ? 'fell' : `is lower than ${against}`} by ${by}.`
    case 'more':
      return `Yes: ${what} ${against === null ? 'rose' : `is higher than ${against}`} by ${by}.`
    case 'slightly-less':
      return `It ${against === null ? 'fell, by' : `is lower than ${against}, by`} ${by}; whether by the ${amount(quantity, matters)} that matter is open.`
    case 'slightly-more':
      return `It ${against === null ? 'rose, by' : `is higher than ${against}, by`} ${by}; whether by the ${amount(quantity, matters)} that matter is open.`
    case 'no-change-that-matters':
      return `No ${against === null ? 'change' : 'difference'} that matters: ${plusMinus(difference.value, difference.U, 1, unitsOf[quantity])}, within ± ${amount(quantity, matters)}.`
    case 'cannot-tell':
      return `Cannot tell yet${settlingClause(outcome.settling)}.`
    default:
      return assertNever(verdict)
  }
}

function settlingClause(settling: Settling): string {
  switch (settling.kind) {
    case 'settled':
      return ''
    case 'more-runs':
      return `: ${counted(settling.more, 'more run')} of each would settle it`
    case 'not-by-runs':
      return ', and more runs will not settle it'
    case 'too-many':
      return ': it would take over 200 runs of each'
    default:
      return assertNever(settling)
  }
}

/** What would settle the question, and what these runs could have shown. */
export function settlingSentence({ settling, detectable, quantity, scatter, systematic_u }: Comparison): string {
  const shown =
    detectable === null
      ? ''
      : `Runs that scatter by ${amount(quantity, scatter)} show a change of ${amount(quantity, detectable)} or more four times in five. `
  switch (settling.kind) {
    case 'settled':
      return shown.trim()
    case 'more-runs':
      return `${shown}${counted(settling.more, 'more run')} of each, ${settling.each} in all, would settle it four times in five if the difference stays.`
    case 'not-by-runs':
      return `${shown}What the two sides do not share leaves ± ${amount(quantity, 2 * systematic_u)} that no number of runs takes away: keep the lane on its supports, or run it both ways.`
    case 'too-many':
      return `${shown}The difference is so small against the scatter that over 200 runs of each would be needed.`
    default:
      return assertNever(settling)
  }
}

/** Why two sets of runs cannot be compared, and what to do. */
export function noComparisonSentence(record: SlowlaneRecord, problem: NoComparison | NotThere): string {
  switch (problem.kind) {
    case 'same-runs':
      return `Both sides hold the same ${problem.runIds.length === 1 ? 'run' : `${problem.runIds.length} runs`}: a set of runs does not differ from itself. Choose another lane or finish for one side.`
    case 'too-few-runs':
      return `${counted(problem.first, 'run')} against ${counted(problem.second, 'run')}: one run does not show how much runs differ by themselves. Mark at least ${problem.need} on each side; from four on the answer is worth having.`
    case 'other-directions':
      return `One side goes ${problem.first}, the other ${problem.second}. Compare runs of one direction, or film both ways on both sides.`
    case 'no-value':
      return `The ${problem.side} side has no ${problem.quantity === 'crr' ? 'C_rr' : problem.quantity === 'exit-speed' ? 'exit speed from several runs' : 'time from entry to exit'} yet. Results says what is missing.`
    case 'not-filmed': {
      const { laneId, finishId } = problem.missing
      return `Lane ${record.lanes[laneId]?.key ?? '?'} has no run in “${record.finishes[finishId]?.name ?? finishId}”.`
    }
    default:
      return assertNever(problem)
  }
}

/** Runs on several finishes that a comparison of clips takes together. */
export function mixedFinishesSentence(
  record: SlowlaneRecord,
  { laneId, clipId, finishIds }: ByClip['mixed'][number],
): string {
  const names = finishIds.map((id) => record.finishes[id]?.name ?? id)
  return `Lane ${record.lanes[laneId]?.key ?? '?'} was run ${names.slice(0, -1).join(', ')} and ${names.at(-1)} in ${record.clips[clipId]?.name ?? clipId}: the clip’s side takes them together. Compare “before and after” to keep them apart.`
}

/** What taking the lane off cost, and how to avoid it. */
export function refitSentence(cost: RefitCost, quantity: ComparedQuantity): string {
  const now = amount(quantity, cost.U)
  const unmoved = amount(quantity, cost.unmoved_U)
  if (cost.own.length === 0)
    return `The lane was fixed anew, but both slopes were read with the same ± (one source): it cancels, and the refit costs nothing as long as the instrument was not touched.`
  if (cost.U < 1.05 * cost.unmoved_U)
    return `The lane was fixed anew; its two slopes add little here (± ${now}, ± ${unmoved} if it had stayed).`
  return `The lane was fixed anew: ± ${now} would be ± ${unmoved} had it stayed on its supports. Sand it where it stands, or set both slopes with one instrument and enter one ± for both, or run it both ways after each change.`
}

export function overlappingSentence(record: SlowlaneRecord, { first, second, frames }: OverlappingRuns): string {
  return `${runName(record, first)} and ${runName(record, second)} lie on each other on ${counted(frames, 'frame')}: one ball was marked twice. Delete one of them, or they count as two runs and the ± comes out too small.`
}

function runName(record: SlowlaneRecord, runId: string): string {
  const run = record.runs[runId]
  if (!run) return `Run ${runId}`
  const siblings = Object.values(record.runs).filter((other) => other.laneId === run.laneId)
  return `Run ${siblings.findIndex(({ id }) => id === runId) + 1} of lane ${record.lanes[run.laneId]?.key ?? '?'}`
}

/** Where along the lane it changed, from its start. `level`: how unlikely a change must be by chance to count, among all stretches. */
export function whereSentence(stretches: readonly LocalDifference[], level: number): string {
  const standing = stretches.filter(({ adjustedP }) => adjustedP <= level)
  if (standing.length === 0) return 'No single stretch stands out: the change, if any, is too small to be placed.'
  const signs = new Set(standing.map(({ difference }) => Math.sign(difference.value)))
  const word = (value: number) => (value < 0 ? 'fell' : 'rose')
  if (standing.length === stretches.length && signs.size === 1) {
    const bySize = [...standing].sort((a, b) => Math.abs(a.difference.value) - Math.abs(b.difference.value))
    const [least, most] = [bySize[0]!, bySize.at(-1)!]
    const all = `It ${word(most.difference.value)} all along the lane`
    return least === most ? `${all}.` : `${all}: least ${placed(least)}, most ${placed(most)}.`
  }
  return `It ${standing.map((stretch) => `${word(stretch.difference.value)} ${placed(stretch)}`).join(', ')}; elsewhere it cannot be told.`
}

const placed = ({ from_m, to_m, difference }: LocalDifference): string =>
  `from ${Math.round(1000 * from_m)} to ${Math.round(1000 * to_m)} mm (by ${plain(Math.abs(difference.value), 2)})`

/** What the lanes say together, for further lanes of the same make. */
export function acrossSentence({ lanes, paired, centre }: AcrossLanes, quantity: ComparedQuantity): string {
  const what = names[quantity]
  switch (paired.kind) {
    case 'too-few':
      return ''
    case 'no-scatter':
      return `Over ${lanes} lanes ${what} changed by ${amount(quantity, paired.difference)} on each.`
    case 'difference': {
      const half = (paired.interval[1] - paired.interval[0]) / 2
      const tells = paired.interval[0] > 0 || paired.interval[1] < 0
      return `Over ${lanes} lanes as pairs ${what} changed by ${plusMinus(paired.difference, half, 1, unitsOf[quantity])} on average (median ${amount(quantity, centre)})${tells ? '' : ', which does not tell what a further lane of this make would do'}.`
    }
    default:
      return assertNever(paired)
  }
}
