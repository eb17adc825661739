import { useEffect, useMemo, useState } from 'react'
import { acrossLanes } from '../../../workers/decide/across-lanes.ts'
import type { ComparedQuantity } from '../../../workers/decide/compare.ts'
import { overlappingRuns } from '../../../workers/decide/overlapping-marks.ts'
import { acrossSentence, overlappingSentence } from '../../../workers/decide/sentences.ts'
import type { LaneResult } from '../../../workers/fit/results.ts'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import { useRecord } from '../../record/store.ts'
import { useResults, watchResults } from '../results/results-store.ts'
import { CompareTable, pairKey } from './compare-table.tsx'
import { answers, firstQuestion, type Question } from './compared.ts'
import { PairSheet } from './pair-sheet.tsx'
import { QuestionBar } from './question.tsx'
import { Staircase } from './staircase.tsx'
import '../results/results.css'
import './compare.css'

export function ComparePage() {
  useEffect(() => watchResults(() => undefined), [])
  const { results, working, failure } = useResults()
  const record = useRecord((r) => r)
  if (failure !== null && !results) return <p className="damage page-sheet">{failure}</p>
  if (!results) return <p className="page-sheet quiet">Working out the results …</p>
  const question = firstQuestion(record, results)
  if (!question) return <NothingToCompare />
  return (
    <div className="results-page" aria-busy={working}>
      {failure !== null && <p className="damage">{failure}</p>}
      <Compared record={record} results={results} first={question} />
    </div>
  )
}

function Compared({
  record,
  results,
  first,
}: {
  readonly record: SlowlaneRecord
  readonly results: readonly LaneResult[]
  readonly first: Question
}) {
  const [chosen, setChosen] = useState<Question | null>(null)
  const [quantity, setQuantity] = useState<ComparedQuantity>('crr')
  const [opened, setOpened] = useState<string | null>(null)
  const question = chosen && stillThere(record, chosen) ? chosen : first
  const pairs = useMemo(() => answers(record, results, question, quantity), [record, results, question, quantity])
  const overlapping = useMemo(() => overlappingRuns(record, results), [record, results])
  const across = useMemo(() => acrossLanes(pairs, record.settings.coverage), [pairs, record.settings.coverage])
  const compared = pairs.filter(({ outcome }) => outcome.kind === 'comparison')
  const open = compared.find((pair) => pairKey(pair) === opened) ?? compared[0]
  return (
    <>
      {overlapping.map((pair) => (
        <p key={`${pair.first} ${pair.second}`} className="damage">
          {overlappingSentence(record, pair)}
        </p>
      ))}
      <QuestionBar
        results={results}
        question={question}
        quantity={quantity}
        onQuestion={setChosen}
        onQuantity={setQuantity}
      />
      <CompareTable
        pairs={pairs}
        question={question}
        quantity={quantity}
        open={open ? pairKey(open) : null}
        onOpen={setOpened}
      />
      {across && question.kind === 'finishes' && <p className="across">{acrossSentence(across, quantity)}</p>}
      {open?.outcome.kind === 'comparison' && (
        <PairSheet key={pairKey(open) + quantity} pair={open} comparison={open.outcome} quantity={quantity} />
      )}
      <Staircase results={results} />
    </>
  )
}

const stillThere = (record: SlowlaneRecord, question: Question): boolean =>
  question.kind === 'finishes'
    ? record.finishes[question.first] !== undefined && record.finishes[question.second] !== undefined
    : record.finishes[question.finishId] !== undefined && record.lanes[question.firstLane] !== undefined

function NothingToCompare() {
  return (
    <section className="page-sheet no-results">
      <svg viewBox="0 0 320 90" width="320" height="90" aria-hidden="true">
        <path d="M8 12 H312 M8 38 H312 M8 64 H312 M160 4 V84" className="faint" />
        <path d="M70 25 H120 M140 51 H190 M64 77 H108" className="faint bar" />
      </svg>
      <p>Here each lane gets one row: before and after, the difference with its ±, and what it says in words.</p>
      <p>
        It takes two sets of runs: one lane in two finishes, or two lanes. <a href="#/marks">Mark runs</a> of a second
        one.
      </p>
    </section>
  )
}
