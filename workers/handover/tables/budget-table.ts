import type { BudgetRow } from '../../fit/results.ts'
import type { TableSource } from './source.ts'
import { number, tableOf, text, truth, whole, type Table } from './table.ts'

interface Row {
  readonly laneId: string
  readonly finishId: string
  readonly rank: number
  readonly row: BudgetRow
}

/** What the ± of each C_rr is made of, the greatest part first (JCGM 100:2008, H.1). */
export function budgetTable({ results }: TableSource): Table {
  return tableOf<Row>(
    {
      name: 'budget',
      title: 'Uncertainty budget',
      description:
        'What the uncertainty of each C_rr is made of. value, u and sensitivity are in, or per, the source’s own unit, named in the column unit; contribution is that of C_rr for one standard uncertainty, signed.',
      primaryKey: ['lane_id', 'finish_id', 'rank'],
      foreignKeys: [{ fields: ['lane_id', 'finish_id'], table: 'lanes', refersTo: ['lane_id', 'finish_id'] }],
    },
    [
      text('lane_id', 'lane', ({ laneId }) => laneId, { required: true }),
      text('finish_id', 'finish', ({ finishId }) => finishId, { required: true }),
      whole('rank', 'place by share, from 1', ({ rank }) => rank, { required: true }),
      text('source_id', 'source; empty for scatter', ({ row }) => row.sourceId),
      text('source', 'name of the source', ({ row }) => row.name),
      text('type', 'evaluated from repeats (A) or otherwise (B)', ({ row }) => row.type, { oneOf: ['A', 'B'] }),
      text('unit', 'unit of the source (UCUM)', ({ row }) => ucum(row.unit)),
      number('value', unitBeside, 'stated value it belongs to', ({ row }) => row.value),
      number('u', unitBeside, 'standard uncertainty', ({ row }) => row.u),
      text('distribution', 'shape of its distribution', ({ row }) => row.distribution.kind),
      number('dof', '1', 'degrees of freedom (INF: known exactly)', ({ row }) => dofOf(row.distribution)),
      number('sensitivity', unitBeside, 'change of C_rr per unit of the source', ({ row }) => row.sensitivity),
      number('contribution', '1', 'change of C_rr for one standard uncertainty', ({ row }) => row.contribution),
      number('share', '1', 'share of the variance', ({ row }) => row.share),
      truth('guessed', 'not known to the person: a wide guess of the tool', ({ row }) => row.guessed, {
        required: true,
      }),
    ],
    function* () {
      for (const { laneId, finishId, budget } of results)
        for (const [i, row] of budget.entries()) yield { laneId, finishId, rank: i + 1, row }
    },
  )
}

/** An annotation is a unit in UCUM: here the real one stands in each row. */
const unitBeside = '{unit}'

const dofOf = (distribution: BudgetRow['distribution']): number =>
  'dof' in distribution && distribution.dof !== undefined ? distribution.dof : Infinity

/** The record's units are UCUM's but for those of the picture. */
const ucum = (unit: string): string =>
  unit === 'px' ? '{pixels}' : unit === '1/px2' ? '/{pixels}2' : unit === '1/m' ? '/m' : unit
