import { noMarginSentence } from '../../../workers/decide/margin-sentences.ts'
import type { LaneMargin } from '../../../workers/decide/margin.ts'
import { showPlain } from '../../format/value.ts'
import { units } from '../../format/units.ts'
import { Flag } from '../../parts/flag.tsx'
import { commonScale } from '../../parts/interval-bar.tsx'
import { LaneChip } from '../../parts/lane-chip.tsx'
import { ValueU } from '../../parts/value-u.tsx'
import { useRecord } from '../../record/store.ts'
import type { MarginRow } from './margins.ts'
import { marginFigure, slopeFigure, slopeNumber, slopeText, slopeUnit } from './slope-text.ts'
import { WindowBar } from './window-bar.tsx'

/** One row for each lane and finish: the slopes it may have, the one it has, and what is to spare. */
export function MarginTable({
  rows,
  open,
  onOpen,
}: {
  readonly rows: readonly MarginRow[]
  readonly open: string
  readonly onOpen: (key: string) => void
}) {
  const record = useRecord((r) => r)
  const unit = slopeUnit(record)
  const windows = rows.flatMap(({ margin }) => (margin.kind === 'margin' ? [margin.window] : []))
  const scale = commonScale(
    windows.flatMap(({ least_rad, greatest_rad, actual_rad }) => [
      [Math.min(least_rad, actual_rad), Math.max(least_rad, actual_rad, greatest_rad ?? actual_rad)] as const,
    ]),
  )
  const figures = commonScale([[slopeNumber(record, scale.from), slopeNumber(record, scale.to)]]).ticks
  const at = (x: number) =>
    6 +
    (208 * (x - slopeNumber(record, scale.from))) / (slopeNumber(record, scale.to) - slopeNumber(record, scale.from))
  return (
    <div className="table-room">
      <table className="margin-table">
        <caption className="only-read-aloud">Slope window and margin of each lane and finish</caption>
        <thead>
          <tr>
            <th scope="col">lane</th>
            <th scope="col">finish</th>
            <th scope="col" className="number">
              never stalls from {unit}
            </th>
            <th scope="col" className="number">
              stands at {unit}
            </th>
            <th scope="col" className="number">
              gentle up to {unit}
            </th>
            <th scope="col" className="scale-head">
              <span className="only-read-aloud">slope window</span>
              <svg className="scale-figures" viewBox="0 0 220 14" width="220" height="14" aria-hidden="true">
                {figures
                  .filter((tick) => at(tick) > 10 && at(tick) < 210)
                  .map((tick) => (
                    <text key={tick} x={at(tick)} y="11" textAnchor="middle">
                      {showPlain(tick)}
                    </text>
                  ))}
              </svg>
            </th>
            <th scope="col" className="number">
              to spare mm/m
            </th>
            <th scope="col" className="number">
              exit m/s
            </th>
            <th scope="col">
              <span className="only-read-aloud">remarks</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <Row key={row.key} row={row} scale={scale} open={open === row.key} onOpen={() => onOpen(row.key)} />
          ))}
        </tbody>
      </table>
    </div>
  )
}

function Row({
  row: { result, margin, past },
  scale,
  open,
  onOpen,
}: {
  readonly row: MarginRow
  readonly scale: ReturnType<typeof commonScale>
  readonly open: boolean
  readonly onOpen: () => void
}) {
  const record = useRecord((r) => r)
  const finish = record.finishes[result.finishId]?.name ?? ''
  const lane = record.lanes[result.laneId]?.key ?? '?'
  const head = (
    <>
      <th scope="row">
        <button
          type="button"
          className="row-button"
          aria-pressed={open}
          onClick={onOpen}
          aria-label={`lane ${lane}, ${finish}: show its margin`}
        >
          <LaneChip laneId={result.laneId} />
        </button>
      </th>
      <td className={past ? 'finish quiet' : 'finish'}>{finish}</td>
    </>
  )
  if (margin.kind !== 'margin')
    return (
      <tr className={open ? 'chosen' : undefined}>
        {head}
        <td colSpan={7} className="why-not">
          {noMarginSentence(record, result.laneId, margin)}
        </td>
      </tr>
    )
  const { window, need, exit } = margin
  return (
    <tr className={open ? 'chosen' : undefined}>
      {head}
      <td className="number">{slopeFigure(record, window.least_rad)}</td>
      <td className="number">{slopeFigure(record, window.actual_rad)}</td>
      <td className="number">{window.greatest_rad === null ? '–' : slopeFigure(record, window.greatest_rad)}</td>
      <td>
        <WindowBar
          window={window}
          scale={scale}
          laneId={result.laneId}
          label={`may stand from ${slopeText(record, window.least_rad)}${window.greatest_rad === null ? '' : ` to ${slopeText(record, window.greatest_rad)}`}, stands at ${slopeText(record, window.actual_rad)}`}
        />
      </td>
      <td className="number">
        <b>{marginFigure(need.margin)}</b>
      </td>
      <td className="number">{exit && <ValueU value={exit.speed.value} U={exit.speed.U} unit={units.m_s} />}</td>
      <td className="remarks">
        {remarks(margin).map((text) => (
          <Flag key={text}>{text}</Flag>
        ))}
        {!margin.fromRest && <span className="quiet"> moving balls only</span>}
      </td>
    </tr>
  )
}

/** What would change a person's mind, in two or three words. */
function remarks({ need, window, leans, proof }: LaneMargin): readonly string[] {
  return [
    need.margin < 0 ? 'short of margin' : '',
    window.state === 'too-steep' ? 'too fast' : '',
    window.state === 'no-window' ? 'no slope does both' : '',
    window.state === 'cannot-be-gentle' ? 'comes in too fast' : '',
    leans.runs === 'yes' || leans.starts === 'yes' ? 'leans to one side' : '',
    proof && proof.stalls > 0 ? `${proof.stalls} stalled` : '',
  ].filter((text) => text !== '')
}
