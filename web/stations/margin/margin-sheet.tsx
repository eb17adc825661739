import { useMemo } from 'react'
import { alternativesFor } from '../../../workers/decide/alternatives.ts'
import { cautions } from '../../../workers/decide/cautions.ts'
import { checkAgainOn } from '../../../workers/decide/check-again.ts'
import { basisSentence, marginSentence } from '../../../workers/decide/margin-sentences.ts'
import type { LaneMargin } from '../../../workers/decide/margin.ts'
import type { LaneResult } from '../../../workers/fit/results.ts'
import { showPlain } from '../../format/value.ts'
import { LaneChip } from '../../parts/lane-chip.tsx'
import { laneNumber, laneStroke } from '../../picture/lane-stroke.ts'
import { Plot } from '../../plots/plot.tsx'
import { useRecord } from '../../record/store.ts'
import { bookOf } from '../compare/compared.ts'
import { AlternativesTable } from './alternatives-table.tsx'
import { Counts } from './counts.tsx'
import { ExitFigures } from './exit-figures.tsx'
import { FlowSheet } from './flow-sheet.tsx'
import { JointsSheet } from './joints-sheet.tsx'
import { NeedParts } from './need-parts.tsx'
import { reserveFigure } from './reserve-figure.ts'
import { SupportsSheet } from './supports-sheet.tsx'

/** One lane's margin in full: the reserve, what the needed slope is made of, what was counted, what to change. */
export function MarginSheet({
  margin,
  results,
}: {
  readonly margin: LaneMargin
  readonly results: readonly LaneResult[]
}) {
  const record = useRecord((r) => r)
  const { setting, energy } = margin
  const { laneId, finishId } = setting.result
  const lane = record.lanes[laneId]
  const of = `lane ${lane?.key ?? ''} ${record.finishes[finishId]?.name ?? ''}`
  const figure = useMemo(
    () =>
      energy &&
      reserveFigure(energy, {
        lane: laneNumber(lane?.key ?? 'A'),
        dash: laneStroke(record, laneId).dash,
        of,
        share: `${showPlain(margin.reliability.share * 100)} %`,
      }),
    [energy, lane, record, laneId, of, margin.reliability.share],
  )
  const all = useMemo(() => alternativesFor(record, bookOf(record), results, margin), [record, results, margin])
  const again = checkAgainOn(record, { laneId, finishId })
  const place = { laneId, finishId, mountingId: setting.series.mountingId, ballId: setting.series.ballId }
  const needs = [margin.moving, margin.passing, ...(margin.fromRest ? [margin.fromRest] : [])]
  return (
    <section className="lane-sheet margin-sheet" aria-label={`Margin of ${of}`}>
      <header className="lane-sheet-head">
        <LaneChip laneId={laneId} />
        <h3>
          {record.finishes[finishId]?.name}. {marginSentence(margin)}
        </h3>
      </header>
      <p>
        {basisSentence(margin)} It holds for the lane as filmed
        {again === null ? '' : `; check again by ${dayOf(again)}, and after damp or dusty weeks`}.
      </p>
      <div className="margin-columns">
        <div>
          {figure && <Plot figure={figure} height={230} />}
          <NeedParts needs={needs} lead={margin.need} />
        </div>
        <Counts key={`${laneId} ${finishId}`} margin={margin} place={place} />
        <div>
          {margin.exit && <ExitFigures exit={margin.exit} />}
          <FlowSheet setting={setting} />
          <JointsSheet setting={setting} />
        </div>
      </div>
      <section aria-label="Shim and alternatives">
        <h3>{margin.need.margin < 0 ? 'Ways to its margin' : 'What could be changed'}</h3>
        {lane && <SupportsSheet lane={lane} length_m={setting.series.exit!.at_m} />}
        <AlternativesTable margin={margin} all={all} />
        <ul className="cautions">
          {(['lifting', 'sanding', 'machine', 'exit', 'margin'] as const).map((where) => (
            <li key={where}>{cautions[where]}</li>
          ))}
        </ul>
      </section>
    </section>
  )
}

/** A day in the person's own manner. */
const dayOf = (day: string): string =>
  new Date(`${day}T12:00:00`).toLocaleDateString(undefined, { day: 'numeric', month: 'long', year: 'numeric' })
