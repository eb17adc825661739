import { useMemo } from 'react'
import { cautions } from '../../../../workers/decide/cautions.ts'
import { basisSentence, marginSentence, noMarginSentence } from '../../../../workers/decide/margin-sentences.ts'
import { noComparisonSentence, verdictSentence } from '../../../../workers/decide/sentences.ts'
import type { LaneResult } from '../../../../workers/fit/results.ts'
import type { SlowlaneRecord } from '../../../../workers/record/index.ts'
import { units } from '../../../format/units.ts'
import { LaneChip } from '../../../parts/lane-chip.tsx'
import { ValueU } from '../../../parts/value-u.tsx'
import { otherLane, ownAnswers } from '../../compare/compared.ts'
import { marginRows, type MarginRow } from '../../margin/margins.ts'
import { reserveFigure } from '../../margin/reserve-figure.ts'
import { marginFigure, slopeText } from '../../margin/slope-text.ts'
import { laneNumber, laneStroke } from '../../../picture/lane-stroke.ts'
import { showPlain } from '../../../format/value.ts'
import { PrintedPlot, type OnDrawing } from './printed-plot.tsx'

interface DecisionsOf {
  readonly record: SlowlaneRecord
  readonly results: readonly LaneResult[]
}

/** Comparisons and margins, as Compare and Margin show them. */
export function Decisions({ record, results, onDrawing }: DecisionsOf & { readonly onDrawing: OnDrawing }) {
  return (
    <>
      <Comparisons record={record} results={results} />
      <Margins record={record} results={results} onDrawing={onDrawing} />
    </>
  )
}

function Comparisons({ record, results }: DecisionsOf) {
  const pairs = ownAnswers(record, results)
  if (pairs.length === 0) return null
  const name = (finishId: string) => record.finishes[finishId]?.name ?? ''
  return (
    <section className="report-comparisons">
      <h2>
        Comparisons of C<sub>rr</sub>
      </h2>
      <table className="report-table">
        <thead>
          <tr>
            <th scope="col">lane</th>
            <th scope="col">compared</th>
            <th scope="col" className="number">
              first
            </th>
            <th scope="col" className="number">
              second
            </th>
            <th scope="col" className="number">
              difference
            </th>
            <th scope="col">verdict</th>
          </tr>
        </thead>
        <tbody>
          {pairs.map((pair) => (
            <tr key={`${pair.first.laneId} ${pair.first.finishId} ${pair.second.laneId} ${pair.second.finishId}`}>
              <th scope="row">
                <LaneChip laneId={pair.second.laneId} />
              </th>
              <td>
                {pair.first.laneId === pair.second.laneId
                  ? `${name(pair.first.finishId)}, ${name(pair.second.finishId)}`
                  : `against lane ${record.lanes[pair.first.laneId]?.key ?? '?'}`}
              </td>
              {pair.outcome.kind === 'comparison' ? (
                <>
                  {[pair.outcome.first, pair.outcome.second, pair.outcome.difference].map(({ value, U }, i) => (
                    <td key={i} className="number">
                      <ValueU value={value} U={U} unit={units.one} strong={i === 2} />
                    </td>
                  ))}
                  <td>{verdictSentence(pair, otherLane(record, pair))}</td>
                </>
              ) : (
                <td colSpan={4}>{noComparisonSentence(record, pair.outcome)}</td>
              )}
            </tr>
          ))}
        </tbody>
      </table>
      <p>
        What both sides share cancels in a difference. The level of error is that of all comparisons together (Holm, S.
        1979, Scandinavian Journal of Statistics 6, 65–70).
      </p>
    </section>
  )
}

function Margins({ record, results, onDrawing }: DecisionsOf & { readonly onDrawing: OnDrawing }) {
  // Kept, or the plots of it would be drawn anew at every turn.
  const rows = useMemo(() => marginRows(record, results).filter(({ past }) => !past), [record, results])
  if (rows.length === 0) return null
  return (
    <section>
      <h2>Margins against stalling</h2>
      <table className="report-table">
        <thead>
          <tr>
            <th scope="col">lane</th>
            <th scope="col">finish</th>
            <th scope="col" className="number">
              never stalls from
            </th>
            <th scope="col" className="number">
              stands at
            </th>
            <th scope="col" className="number">
              to spare mm/m
            </th>
            <th scope="col">what it says</th>
          </tr>
        </thead>
        <tbody>
          {rows.map(({ key, result, margin }) => (
            <tr key={key}>
              <th scope="row">
                <LaneChip laneId={result.laneId} />
              </th>
              <td>{record.finishes[result.finishId]?.name}</td>
              {margin.kind === 'margin' ? (
                <>
                  <td className="number">{slopeText(record, margin.window.least_rad)}</td>
                  <td className="number">{slopeText(record, margin.window.actual_rad)}</td>
                  <td className="number">
                    <b>{marginFigure(margin.need.margin)}</b>
                  </td>
                  <td>
                    {marginSentence(margin)} {basisSentence(margin)}
                  </td>
                </>
              ) : (
                <td colSpan={4}>{noMarginSentence(record, result.laneId, margin)}</td>
              )}
            </tr>
          ))}
        </tbody>
      </table>
      <Reserves record={record} rows={rows} onDrawing={onDrawing} />
      <ul className="cautions">
        {(['margin', 'lifting', 'sanding', 'machine', 'exit'] as const).map((where) => (
          <li key={where}>{cautions[where]}</li>
        ))}
      </ul>
    </section>
  )
}

function Reserves({
  record,
  rows,
  onDrawing,
}: {
  readonly record: SlowlaneRecord
  readonly rows: readonly MarginRow[]
  readonly onDrawing: OnDrawing
}) {
  const figures = useMemo(
    () =>
      rows.flatMap(({ result, margin }) => {
        if (margin.kind !== 'margin' || !margin.energy) return []
        const key = record.lanes[result.laneId]?.key ?? 'A'
        const of = `lane ${key} ${record.finishes[result.finishId]?.name ?? ''}`
        const look = { lane: laneNumber(key), dash: laneStroke(record, result.laneId).dash, of }
        const figure = reserveFigure(margin.energy, {
          ...look,
          share: `${showPlain(margin.reliability.share * 100)} %`,
        })
        return figure ? [{ ...figure, caption: `lane ${key}: ${figure.caption}` }] : []
      }),
    [record, rows],
  )
  return (
    <div className="printed-plots">
      {figures.map((figure) => (
        <PrintedPlot key={figure.name} figure={figure} onDrawing={onDrawing} />
      ))}
    </div>
  )
}
