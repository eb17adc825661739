import type { ReactNode } from 'react'
import type { Alternatives } from '../../../workers/decide/alternatives.ts'
import type { BallStops, ChangedLane } from '../../../workers/decide/changed-lane.ts'
import { grooveSentence, liftSentence, noShimSentence, shimTitle } from '../../../workers/decide/margin-sentences.ts'
import type { LaneMargin } from '../../../workers/decide/margin.ts'
import type { NoShim, Shim } from '../../../workers/decide/shim.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { ValueU } from '../../parts/value-u.tsx'
import { useRecord } from '../../record/store.ts'
import { marginFigure, slopeText, slopeUnit } from './slope-text.ts'

/** Ways to the margin, side by side: what to do, and what the lane is like then. */
export function AlternativesTable({ margin, all }: { readonly margin: LaneMargin; readonly all: Alternatives }) {
  const record = useRecord((r) => r)
  const short = margin.need.margin < 0
  const { setting } = margin
  const tangent = Math.tan(setting.slope_rad)
  const marginAt = (slope_rad: number) => margin.need.margin + Math.tan(slope_rad) - tangent
  const shimRow = (shim: Shim | NoShim, title: string) =>
    shim.kind === 'shim' ? (
      <Row
        key={title + shim.how}
        title={shimTitle(shim)}
        what={
          <ul>
            {shim.lifts.map((lift) => (
              <li key={lift.support.id}>{liftSentence(lift)}</li>
            ))}
          </ul>
        }
        slope={`${slopeText(record, shim.reached_rad)}${shim.reached_u_rad > 0 ? ` ± ${showPlain(inUnit(2 * shim.reached_u_rad, record.settings.slopeUnit), 1)}` : ''}`}
        margin={marginAt(shim.reached_rad)}
        after={shim.after}
      />
    ) : (
      <Row key={title} title={title} what={noShimSentence(shim)} />
    )
  return (
    <div className="table-room" tabIndex={0} role="region" aria-label="Ways to change this lane">
      <table className="alternatives">
        <caption className="only-read-aloud">Ways to change this lane, and what comes of each</caption>
        <thead>
          <tr>
            <th scope="col">way</th>
            <th scope="col">what to do</th>
            <th scope="col" className="number">
              slope {slopeUnit(record)}
            </th>
            <th scope="col" className="number">
              to spare mm/m
            </th>
            <th scope="col" className="number">
              exit m/s
            </th>
            <th scope="col" className="number">
              energy mJ
            </th>
            <th scope="col" className="number">
              time s
            </th>
            <th scope="col" className="number">
              spacing
            </th>
          </tr>
        </thead>
        <tbody>
          <Row
            title="As it stands"
            what=""
            slope={slopeText(record, setting.slope_rad)}
            margin={margin.need.margin}
            after={{
              kind: 'changed',
              slope_rad: setting.slope_rad,
              exit: margin.exit?.speed ?? setting.series.exit!.filmed,
              transit_s: setting.series.transit?.value ?? NaN,
              energyRatio: 1,
              energy_J: margin.exit?.energy?.value ?? null,
              spacingRatio: 1,
            }}
          />
          {short && shimRow(all.raise, 'Raise the upper end')}
          {short && shimRow(all.lower, 'Lower the far end')}
          {short && (
            <Row
              title="Open the groove"
              what={grooveSentence(all.groove)}
              {...(all.groove.kind === 'groove'
                ? {
                    slope: slopeText(record, setting.slope_rad),
                    margin: all.groove.margin,
                    after: all.groove.after,
                  }
                : {})}
            />
          )}
          {all.finishes.map((finish) => (
            <Row
              key={finish.finishId}
              title={`Finish: ${record.finishes[finish.finishId]?.name ?? ''}`}
              what={`as measured, C_rr ${showPlain(finish.crr, 2)}`}
              slope={slopeText(record, setting.slope_rad)}
              margin={finish.margin}
              after={finish.after}
            />
          ))}
          {all.slowest &&
            (all.slowest.shim.kind === 'shim' ? (
              <Row
                title="As slow as it may be"
                what={
                  <ul>
                    {all.slowest.shim.lifts.map((lift) => (
                      <li key={lift.support.id}>{liftSentence(lift)}</li>
                    ))}
                  </ul>
                }
                slope={slopeText(record, all.slowest.shim.reached_rad)}
                margin={marginAt(all.slowest.shim.reached_rad)}
                after={all.slowest.shim.after}
              />
            ) : (
              <Row
                title="As slow as it may be"
                what={noShimSentence(all.slowest.shim)}
                slope={slopeText(record, all.slowest.aim_rad)}
                margin={0}
                after={all.slowest.after}
              />
            ))}
        </tbody>
      </table>
    </div>
  )
}

const inUnit = (slope_rad: number, unit: 'deg' | 'mm-per-m'): number =>
  unit === 'deg' ? slope_rad / units.deg.si : slope_rad * 1000

function Row({
  title,
  what,
  slope,
  margin,
  after,
}: {
  readonly title: string
  readonly what: ReactNode
  readonly slope?: string
  readonly margin?: number
  readonly after?: ChangedLane | BallStops
}) {
  return (
    <tr>
      <th scope="row">{title}</th>
      <td className="what">{what}</td>
      <td className="number">{slope ?? '–'}</td>
      <td className={margin !== undefined && margin < -5e-5 ? 'number caution' : 'number'}>
        {margin === undefined ? '–' : marginFigure(margin)}
      </td>
      {after?.kind === 'stops' ? (
        <td className="number caution" colSpan={4}>
          stops after {showPlain(after.way_m * 1000, 3)} mm
        </td>
      ) : (
        <>
          <td className="number">
            {after ? <ValueU value={after.exit.value} U={after.exit.U} unit={units.m_s} /> : '–'}
          </td>
          <td className="number">
            {after?.energy_J === null || after === undefined ? '–' : showPlain(after.energy_J * 1000, 3)}
          </td>
          <td className="number">{after && Number.isFinite(after.transit_s) ? after.transit_s.toFixed(2) : '–'}</td>
          <td className="number">{after ? `× ${after.spacingRatio.toFixed(2)}` : '–'}</td>
        </>
      )}
    </tr>
  )
}
