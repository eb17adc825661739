import { useMemo } from 'react'
import type { ComparedPair } from '../../../workers/decide/across-lanes.ts'
import type { Comparison, ComparedQuantity } from '../../../workers/decide/compare.ts'
import { localDifference } from '../../../workers/decide/local-difference.ts'
import { refitCost } from '../../../workers/decide/refit-cost.ts'
import { refitSentence, settlingSentence, verdictSentence, whereSentence } from '../../../workers/decide/sentences.ts'
import { laneNumber } from '../../picture/lane-stroke.ts'
import { Plot } from '../../plots/plot.tsx'
import { showPlain } from '../../format/value.ts'
import { LaneChip } from '../../parts/lane-chip.tsx'
import { FiguresTable } from '../../parts/figures-table.tsx'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import { bookOf, otherLane } from './compared.ts'
import { runsFigure, whereFigure } from './pair-figures.ts'
import { quantities } from './quantities.ts'

/** One comparison in full: its runs, where the lane changed, and what would settle it. */
export function PairSheet({
  record,
  pair,
  comparison,
  quantity,
}: {
  readonly record: SlowlaneRecord
  readonly pair: ComparedPair
  readonly comparison: Comparison
  readonly quantity: ComparedQuantity
}) {
  const lane = record.lanes[pair.second.laneId]
  const number = laneNumber(lane?.key ?? 'A')
  const names = useMemo(() => {
    const of = ({ laneId, finishId }: ComparedPair['first']) =>
      pair.first.laneId === pair.second.laneId
        ? (record.finishes[finishId]?.name ?? finishId)
        : `lane ${record.lanes[laneId]?.key ?? '?'}`
    return [of(pair.first), of(pair.second)] as const
  }, [record, pair])
  const of = `lane ${lane?.key ?? ''}`
  const runs = useMemo(
    () =>
      runsFigure(comparison, names, {
        lane: number,
        unit: quantities[quantity].unit,
        label: quantities[quantity].label,
        of,
      }),
    [comparison, names, number, quantity, of],
  )
  const { first, second } = comparison.sides
  const along = useMemo(
    () =>
      quantity === 'crr' && pair.first.laneId === pair.second.laneId
        ? localDifference(bookOf(record), first, second)
        : null,
    [record, quantity, pair, first, second],
  )
  const where = useMemo(() => along && whereFigure(along, { lane: number, of }), [along, number, of])
  const cost =
    pair.first.laneId === pair.second.laneId
      ? refitCost(record, bookOf(record), comparison, [first.mountingId, second.mountingId])
      : null
  return (
    <section className="lane-sheet" aria-label={`Comparison of ${of}`}>
      <header className="lane-sheet-head">
        <LaneChip laneId={pair.second.laneId} />
        <h3>{verdictSentence(pair, otherLane(record, pair))}</h3>
      </header>
      <div className={where ? 'pair-columns' : 'pair-columns two'}>
        <Plot figure={runs} height={120} />
        {where && along && (
          <div>
            <Plot figure={where} height={150} />
            <p>{whereSentence(along, 1 - record.settings.coverage)}</p>
          </div>
        )}
        <div>
          <p>{settlingSentence(comparison)}</p>
          {cost && <p>{refitSentence(cost, quantity)}</p>}
          {comparison.basis === 'both-directions' && (
            <p>Taken from runs in both directions, which need no slope: this leaves the smaller ±.</p>
          )}
          {!comparison.sameBall && (
            <p className="caution">
              The two sides were run with different balls: part of the difference may be theirs.
            </p>
          )}
          <Chance pair={pair} comparison={comparison} />
        </div>
      </div>
    </section>
  )
}

/** The tests behind the verdict, for those who ask. */
function Chance({ pair, comparison }: { readonly pair: ComparedPair; readonly comparison: Comparison }) {
  const { shift, quantity } = comparison
  const permutation = comparison.permutation()
  const { unit } = quantities[quantity]
  const rows: readonly (readonly [string, string])[] = [
    ['p, with all that is uncertain', chance(comparison.p)],
    ...(pair.adjustedP === null ? [] : [['p among all lanes (Holm)', chance(pair.adjustedP)] as const]),
    ...(permutation
      ? [
          [
            permutation.exact ? 'p of the runs alone, every deal counted' : 'p of the runs alone, 20 000 deals drawn',
            chance(permutation.p) +
              (permutation.leastPossible > 0.05
                ? ` (so few runs give no less than ${chance(permutation.leastPossible)})`
                : ''),
          ] as const,
        ]
      : []),
    ['median of all pairs of runs (Hodges–Lehmann)', `${showPlain(shift / unit.si, 3)} ${unit.label}`.trim()],
  ]
  return (
    <details>
      <summary>How this was tested</summary>
      <FiguresTable rows={rows} />
    </details>
  )
}

const chance = (p: number): string => (p < 0.0001 ? '< 0.0001' : showPlain(p, 2))
