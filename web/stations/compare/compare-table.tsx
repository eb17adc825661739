import type { ComparedPair } from '../../../workers/decide/across-lanes.ts'
import type { ComparedQuantity } from '../../../workers/decide/compare.ts'
import { noComparisonSentence, verdictSentence } from '../../../workers/decide/sentences.ts'
import type { Estimate, SlowlaneRecord } from '../../../workers/record/index.ts'
import { showPlain, showValue } from '../../format/value.ts'
import { commonScale } from '../../parts/interval-bar.tsx'
import { LaneChip } from '../../parts/lane-chip.tsx'
import { ValueU } from '../../parts/value-u.tsx'
import { otherLane, type Grouped, type Question } from './compared.ts'
import { DifferenceBar, DifferenceFigures, type DifferenceScale } from './difference-bar.tsx'
import { quantities } from './quantities.ts'

/** Names a row. */
export const pairKey = ({ first, second }: ComparedPair): string =>
  `${first.laneId} ${first.finishId} ${second.laneId} ${second.finishId}`

/** One row a lane: both sides, their difference on a common scale, and what it says in words. */
export function CompareTable({
  grouped: { record, sides },
  pairs,
  question,
  quantity,
  open,
  onOpen,
}: {
  readonly grouped: Grouped
  readonly pairs: readonly ComparedPair[]
  readonly question: Question
  readonly quantity: ComparedQuantity
  readonly open: string | null
  readonly onOpen: (key: string) => void
}) {
  const { unit, label } = quantities[quantity]
  const intervals = pairs.flatMap(({ outcome }) =>
    outcome.kind === 'comparison' ? [outcome.difference.interval, [-outcome.matters, outcome.matters] as const] : [],
  )
  const scale = commonScale(intervals.map(([a, b]) => [a / unit.si, b / unit.si] as const))
  const heads =
    question.kind === 'lanes'
      ? [`lane ${record.lanes[question.firstLane]?.key ?? ''}`, 'this lane']
      : [sides?.first ?? question.first, sides?.second ?? question.second].map((id) => record.finishes[id]?.name)
  return (
    <div className="table-room">
      <table className="compare-table">
        <caption className="only-read-aloud">Differences in {label}, one row a lane, with verdicts</caption>
        <thead>
          <tr>
            <th scope="col">lane</th>
            <th scope="col" className="number side">
              runs
            </th>
            <th scope="col" className="number side">
              {heads[0]}
            </th>
            <th scope="col" className="number side">
              {heads[1]}
            </th>
            <th scope="col" className="number">
              difference {unit.label} <small>{showPlain(record.settings.coverage * 100)} %</small>
            </th>
            <th scope="col" className="scale-head on-scale">
              <span className="only-read-aloud">interval of the difference</span>
              {intervals.length > 0 && <DifferenceFigures scale={scale} />}
            </th>
            <th scope="col">verdict</th>
          </tr>
        </thead>
        <tbody>
          {pairs.map((pair) => (
            <Row
              key={pairKey(pair)}
              record={record}
              pair={pair}
              quantity={quantity}
              scale={scale}
              open={open === pairKey(pair)}
              onOpen={() => onOpen(pairKey(pair))}
            />
          ))}
        </tbody>
      </table>
    </div>
  )
}

function Row({
  record,
  pair,
  quantity,
  scale,
  open,
  onOpen,
}: {
  readonly record: SlowlaneRecord
  readonly pair: ComparedPair
  readonly quantity: ComparedQuantity
  readonly scale: DifferenceScale
  readonly open: boolean
  readonly onOpen: () => void
}) {
  const { outcome } = pair
  const { unit } = quantities[quantity]
  const key = record.lanes[pair.second.laneId]?.key ?? '?'
  if (outcome.kind !== 'comparison')
    return (
      <tr className="quiet">
        <th scope="row">
          <LaneChip laneId={pair.second.laneId} />
        </th>
        <td colSpan={6} className="why-not">
          {noComparisonSentence(record, outcome)}
        </td>
      </tr>
    )
  const { difference, perRun } = outcome
  const measured = (of: Estimate, strong = false) => <ValueU value={of.value} U={of.U} unit={unit} strong={strong} />
  return (
    <tr className={open ? 'chosen' : undefined}>
      <th scope="row">
        <button
          type="button"
          className="row-button"
          aria-pressed={open}
          onClick={onOpen}
          aria-label={`lane ${key}: show this comparison`}
        >
          <LaneChip laneId={pair.second.laneId} />
        </button>
      </th>
      <td className="number side">
        {perRun.first.length} + {perRun.second.length}
      </td>
      <td className="number side">{measured(outcome.first)}</td>
      <td className="number side">{measured(outcome.second)}</td>
      <td className="number">{measured(difference, true)}</td>
      <td className="on-scale">
        <DifferenceBar
          value={difference.value / unit.si}
          interval={[difference.interval[0] / unit.si, difference.interval[1] / unit.si]}
          matters={outcome.matters / unit.si}
          scale={scale}
          laneId={pair.second.laneId}
          label={`difference ${showValue(difference.value / unit.si, difference.U / unit.si, unit.label).text}`}
        />
      </td>
      <td className={pair.verdict === 'cannot-tell' ? 'verdict open' : 'verdict'}>
        {verdictSentence(pair, otherLane(record, pair))}
      </td>
    </tr>
  )
}
