import { useEffect, useMemo, useState } from 'react'
import { acrossLanes } from '../../../workers/decide/across-lanes.ts'
import type { ComparedQuantity } from '../../../workers/decide/compare.ts'
import { overlappingRuns } from '../../../workers/decide/overlapping-marks.ts'
import { acrossSentence, mixedFinishesSentence, overlappingSentence } from '../../../workers/decide/sentences.ts'
import type { LaneResult } from '../../../workers/fit/results.ts'
import { assertNever, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { useRecord } from '../../record/store.ts'
import { useResults, watchResults } from '../results/results-store.ts'
import { CompareTable, pairKey } from './compare-table.tsx'
import { answers, firstQuestion, type Question } from './compared.ts'
import { PairSheet } from './pair-sheet.tsx'
import { QuestionBar } from './question.tsx'
import { Staircase } from './staircase.tsx'
import { useByClip, type ClipResults } from './clip-results.ts'
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
  const byFinish = useMemo(() => ({ record, results, sides: null }), [record, results])
  const clips = useByClip(record, question)
  const grouped = question.kind === 'clips' ? clips.grouped : byFinish
  const pairs = useMemo(() => (grouped ? answers(grouped, question, quantity) : []), [grouped, question, quantity])
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
      {question.kind === 'clips' && <ClipsState {...clips} record={record} />}
      {grouped && (
        <CompareTable
          grouped={grouped}
          pairs={pairs}
          question={question}
          quantity={quantity}
          open={open ? pairKey(open) : null}
          onOpen={setOpened}
        />
      )}
      {across && question.kind !== 'lanes' && <p className="across">{acrossSentence(across, quantity)}</p>}
      {grouped && open?.outcome.kind === 'comparison' && (
        <PairSheet
          key={pairKey(open) + quantity}
          record={grouped.record}
          pair={open}
          comparison={open.outcome}
          quantity={quantity}
        />
      )}
      <Staircase results={results} />
    </>
  )
}

function ClipsState({ record, grouped, mixed, failure }: ClipResults & { readonly record: SlowlaneRecord }) {
  if (failure !== null) return <p className="damage">{failure}</p>
  if (!grouped) return <p className="quiet">Working out the results of these two clips …</p>
  return mixed.map((one) => (
    <p key={`${one.laneId} ${one.clipId}`} className="caution">
      {mixedFinishesSentence(record, one)}
    </p>
  ))
}

function stillThere(record: SlowlaneRecord, question: Question): boolean {
  switch (question.kind) {
    case 'finishes':
      return record.finishes[question.first] !== undefined && record.finishes[question.second] !== undefined
    case 'lanes':
      return record.finishes[question.finishId] !== undefined && record.lanes[question.firstLane] !== undefined
    case 'clips':
      return record.clips[question.first] !== undefined && record.clips[question.second] !== undefined
    default:
      return assertNever(question)
  }
}

function NothingToCompare() {
  return (
    <section className="page-sheet no-results">
      <svg viewBox="0 0 320 90" width="320" height="90" aria-hidden="true">
        <path d="M8 12 H312 M8 38 H312 M8 64 H312 M160 4 V84" className="faint" />
        <path d="M70 25 H120 M140 51 H190 M64 77 H108" className="faint bar" />
      </svg>
      <p>Here each lane gets one row: before and after, the difference with its ±, and what it says in words.</p>
      <p>
        It takes two sets of runs: one lane in two finishes or two clips, or two lanes. <a href="#/marks">Mark runs</a>{' '}
        of a second one.
      </p>
    </section>
  )
}
