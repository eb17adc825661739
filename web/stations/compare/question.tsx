import { transitMattersKey, mattersFor } from '../../../workers/decide/across-lanes.ts'
import { comparedQuantities, type ComparedQuantity } from '../../../workers/decide/compare.ts'
import type { LaneResult } from '../../../workers/fit/results.ts'
import { ChoiceRow } from '../../parts/choice-row.tsx'
import { NumberField } from '../../parts/number-field.tsx'
import { SelectField } from '../../parts/select-field.tsx'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { filmedFinishes, lanesIn, markedClips, type Question } from './compared.ts'
import { quantities } from './quantities.ts'

/** What is compared, and from which change on it matters. */
export function QuestionBar({
  results,
  question,
  quantity,
  onQuestion,
  onQuantity,
}: {
  readonly results: readonly LaneResult[]
  readonly question: Question
  readonly quantity: ComparedQuantity
  readonly onQuestion: (question: Question) => void
  readonly onQuantity: (quantity: ComparedQuantity) => void
}) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const finishes = filmedFinishes(record, results).map((id) => ({ value: id, label: record.finishes[id]?.name ?? id }))
  const canLanes = finishes.some(({ value }) => lanesIn(results, value).length > 1)
  const clips = markedClips(record).map((id) => ({ value: id, label: record.clips[id]?.name ?? id }))
  const setKind = (kind: Question['kind']) => {
    if (kind === question.kind) return
    if (kind === 'finishes') {
      const [first, last] = [finishes[0], finishes.at(-1)]
      if (first && last) onQuestion({ kind, first: first.value, second: last.value })
      return
    }
    if (kind === 'clips') {
      const [first, last] = [clips[0], clips.at(-1)]
      if (first && last) onQuestion({ kind, first: first.value, second: last.value })
      return
    }
    const finishId = [...finishes].reverse().find(({ value }) => lanesIn(results, value).length > 1)?.value
    if (finishId !== undefined) onQuestion({ kind, finishId, firstLane: lanesIn(results, finishId)[0]! })
  }
  return (
    <form className="question" onSubmit={(event) => event.preventDefault()}>
      <ChoiceRow
        label="Compare"
        value={question.kind}
        choices={[
          { value: 'finishes', label: 'before and after', disabled: finishes.length < 2 },
          { value: 'lanes', label: 'lane against lane', disabled: !canLanes },
          { value: 'clips', label: 'clip against clip', disabled: clips.length < 2 },
        ]}
        onChange={setKind}
      />
      {question.kind !== 'lanes' ? (
        <>
          <SelectField
            label="from"
            value={question.first}
            choices={question.kind === 'clips' ? clips : finishes}
            onChange={(first) => onQuestion({ ...question, first })}
          />
          <SelectField
            label="to"
            value={question.second}
            choices={question.kind === 'clips' ? clips : finishes}
            onChange={(second) => onQuestion({ ...question, second })}
          />
        </>
      ) : (
        <>
          <SelectField
            label="finish"
            value={question.finishId}
            choices={finishes.filter(({ value }) => lanesIn(results, value).length > 1)}
            onChange={(finishId) => onQuestion({ kind: 'lanes', finishId, firstLane: lanesIn(results, finishId)[0]! })}
          />
          <SelectField
            label="against lane"
            value={question.firstLane}
            choices={lanesIn(results, question.finishId).map((id) => ({
              value: id,
              label: record.lanes[id]?.key ?? id,
            }))}
            onChange={(firstLane) => onQuestion({ ...question, firstLane })}
          />
        </>
      )}
      <ChoiceRow
        label="In"
        value={quantity}
        choices={comparedQuantities.map((value) => ({ value, label: quantities[value].label }))}
        onChange={onQuantity}
      />
      <NumberField
        label="matters from"
        unit={quantities[quantity].unit}
        value={mattersFor(record, quantity)}
        readOnly={readOnly}
        check={(value) =>
          value > 0 ? undefined : 'A change that matters is greater than 0. Enter the least that would.'
        }
        onChange={(value) => setMatters(quantity, value)}
      />
    </form>
  )
}

function setMatters(quantity: ComparedQuantity, value: number): void {
  commit('set what matters', ({ settings }) => {
    if (quantity === 'crr') settings.matters.crr = value
    else if (quantity === 'exit-speed') settings.matters.exitSpeed_m_s = value
    else settings.extra = { ...settings.extra, [transitMattersKey]: value }
  })
}
