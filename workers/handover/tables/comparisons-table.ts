import {
  comparePairs,
  comparedQuantities,
  finishPairs,
  lanePairs,
  noComparisonSentence,
  verdictSentence,
  type Choice,
  type ComparedPair,
  type ComparedQuantity,
} from '../../decide/index.ts'
import type { LaneResult } from '../../fit/index.ts'
import type { SlowlaneRecord } from '../../record/index.ts'
import { finishName, laneKey, type TableSource } from './source.ts'
import { measured, number, tableOf, text, truth, whole, type Table } from './table.ts'

interface Row {
  readonly quantity: ComparedQuantity
  readonly pair: ComparedPair
}

const unitOf: Readonly<Record<ComparedQuantity, string>> = { crr: '1', 'exit-speed': 'm/s', transit: 's' }

/** Everything that the record lets one hold against each other: each lane in every two finishes, and in each finish every lane against the first. */
export function comparisonsTable(source: TableSource): Table {
  const { record } = source
  const outcome = ({ pair }: Row) => (pair.outcome.kind === 'comparison' ? pair.outcome : null)
  const side = (which: 'first' | 'second') => {
    const choice = ({ pair }: Row): Choice => pair[which]
    return [
      text<Row>(`${which}_lane_id`, `${which} lane`, (row) => choice(row).laneId, { required: true }),
      text<Row>(`${which}_finish_id`, `${which} finish`, (row) => choice(row).finishId, { required: true }),
      text<Row>(`${which}_lane`, `letter of the ${which} lane`, (row) => laneKey(record, choice(row).laneId)),
      text<Row>(`${which}_finish`, `name of the ${which} finish`, (row) => finishName(record, choice(row).finishId)),
    ]
  }
  return tableOf<Row>(
    {
      name: 'comparisons',
      title: 'Comparisons',
      description:
        'Second against first. Amounts are in the quantity’s unit, named in the column unit. What both sides share has cancelled; p_among_all is adjusted by Holm among the lanes of the same question.',
      primaryKey: ['quantity', 'first_lane_id', 'first_finish_id', 'second_lane_id', 'second_finish_id'],
      foreignKeys: (['first', 'second'] as const).map((which) => ({
        fields: [`${which}_lane_id`, `${which}_finish_id`],
        table: 'lanes',
        refersTo: ['lane_id', 'finish_id'],
      })),
    },
    [
      text('quantity', 'what is compared', (row) => row.quantity, { required: true, oneOf: comparedQuantities }),
      ...side('first'),
      ...side('second'),
      text('unit', 'unit of the quantity (UCUM)', (row) => unitOf[row.quantity], { required: true }),
      whole('first_runs', 'runs of the first', (row) => outcome(row)?.sides.first.runs.length ?? null),
      whole('second_runs', 'runs of the second', (row) => outcome(row)?.sides.second.runs.length ?? null),
      number('first_value', '{unit}', 'value of the first', (row) => outcome(row)?.first.value ?? null),
      number('second_value', '{unit}', 'value of the second', (row) => outcome(row)?.second.value ?? null),
      ...measured<Row>('difference', '', '{unit}', 'second less first', (row) => outcome(row)?.difference),
      number(
        'systematic_u',
        '{unit}',
        'part of its standard uncertainty that more runs do not reduce',
        (row) => outcome(row)?.systematic_u ?? null,
      ),
      number('matters', '{unit}', 'least change that matters to the person', (row) => outcome(row)?.matters ?? null),
      number(
        'detectable',
        '{unit}',
        'change that these runs show four times in five',
        (row) => outcome(row)?.detectable ?? null,
      ),
      number('p', '1', 'chance of such a difference without any change, two-sided', (row) => outcome(row)?.p ?? null),
      number('p_among_all', '1', 'the same among all lanes of the question', (row) => row.pair.adjustedP),
      text('basis', 'what both values rest on', (row) => outcome(row)?.basis ?? null),
      truth('same_mounting', 'the lane was not fixed anew', (row) => outcome(row)?.sameMounting ?? null),
      text('verdict', 'answer', (row) => row.pair.verdict),
      text('says', 'answer in words, or why there is none', ({ pair }) => words(record, pair)),
    ],
    () => rowsOf(source),
  )
}

function words(record: SlowlaneRecord, pair: ComparedPair): string {
  const { outcome, first, second } = pair
  if (outcome.kind !== 'comparison') return noComparisonSentence(record, outcome)
  return verdictSentence(pair, first.laneId === second.laneId ? null : `lane ${laneKey(record, first.laneId)}’s`)
}

function* rowsOf({ record, book, everyResult, lanes }: TableSource): Iterable<Row> {
  const asked = (choice: Choice) =>
    lanes.some((lane) => lane.laneId === choice.laneId && lane.finishId === choice.finishId)
  const all = questions(record, everyResult)
  for (const quantity of comparedQuantities)
    for (const question of all)
      for (const pair of comparePairs(record, book, everyResult, question, quantity))
        if (asked(pair.first) && asked(pair.second)) yield { quantity, pair }
}

type Pairs = readonly { readonly first: Choice; readonly second: Choice }[]

/** Each question is judged by itself, as on the page. */
function questions(record: SlowlaneRecord, results: readonly LaneResult[]): readonly Pairs[] {
  const filmed = results.filter(({ series }) => series.length > 0)
  const finishes = Object.values(record.finishes)
    .filter(({ id }) => filmed.some(({ finishId }) => finishId === id))
    .sort((a, b) => a.order - b.order)
    .map(({ id }) => id)
  const between = finishes.flatMap((first, i) =>
    finishes.slice(i + 1).map((second) => finishPairs(record, first, second)),
  )
  const within = finishes.map((finishId) =>
    lanePairs(record, filmed.find((result) => result.finishId === finishId)!.laneId, finishId),
  )
  return [...between, ...within]
}
