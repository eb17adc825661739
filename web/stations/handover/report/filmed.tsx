import { guideShape } from '../../../../workers/fit/guide-numbers.ts'
import { guideName } from '../../../../workers/handover/simulators/names.ts'
import { planeReport, rateReport, sentenceFor, slopeReport } from '../../../../workers/measure/index.ts'
import {
  assertNever,
  noDeviations,
  statedUncertainty,
  valueOf,
  type Plane,
  type SlowlaneRecord,
  type Stated,
  type Timebase,
} from '../../../../workers/record/index.ts'
import { units, type DisplayUnit } from '../../../format/units.ts'
import { showPlain, showValue } from '../../../format/value.ts'
import { LaneChip } from '../../../parts/lane-chip.tsx'

/** A value with its standard uncertainty, as text. */
const withU = (value: number, u: number, unit: DisplayUnit): string =>
  showValue(value / unit.si, u / unit.si, unit.label).text

const stated = (record: SlowlaneRecord, of: Stated | undefined, unit: DisplayUnit): string =>
  of ? withU(valueOf(of, record.sources, noDeviations), statedUncertainty(of, record.sources), unit) : 'not stated'

/** Clips, camera positions, lanes and balls: what went into the results, each with its standard uncertainty. */
export function Filmed({ record }: { readonly record: SlowlaneRecord }) {
  return (
    <section>
      <h2>What was filmed, and how</h2>
      <p>In this section a figure behind ± is one standard uncertainty.</p>
      <Clips record={record} />
      <Planes record={record} />
      <Lanes record={record} />
      <Balls record={record} />
      <p>Acceleration of free fall {stated(record, record.settings.gravity.g_m_s2, units.m_s2)}.</p>
    </section>
  )
}

function Clips({ record }: { readonly record: SlowlaneRecord }) {
  return (
    <table className="report-table">
      <caption>clips</caption>
      <thead>
        <tr>
          <th scope="col">clip</th>
          <th scope="col">picture</th>
          <th scope="col" className="number">
            frames
          </th>
          <th scope="col" className="number">
            frames a second of real time
          </th>
          <th scope="col">known from</th>
          <th scope="col" className="number">
            runs
          </th>
        </tr>
      </thead>
      <tbody>
        {Object.values(record.clips).map((clip) => {
          const rate = rateReport(record, clip.id)
          const view = record.views[clip.viewId]
          return (
            <tr key={clip.id}>
              <th scope="row">{clip.name}</th>
              <td>
                {clip.width} × {clip.height}, {clip.codec} in {clip.container}
              </td>
              <td className="number">{clip.frames}</td>
              <td className="number">
                {rate.kind === 'rate-report'
                  ? withU(1 / rate.secondsPerFrame, rate.u_s / rate.secondsPerFrame ** 2, units.one)
                  : sentenceFor(rate)}
              </td>
              <td>{view ? timeWords(view.timebase) : ''}</td>
              <td className="number">{Object.values(record.runs).filter((run) => run.clipId === clip.id).length}</td>
            </tr>
          )
        })}
      </tbody>
    </table>
  )
}

function timeWords(timebase: Timebase): string {
  switch (timebase.kind) {
    case 'unset':
      return 'not set'
    case 'file':
      return 'the file’s timestamps'
    case 'filmed-at':
      return 'the rate that was set on the camera'
    case 'measured':
      switch (timebase.clock.kind) {
        case 'two-frames':
          return 'two frames a known time apart'
        case 'lamp':
          return 'a lamp that blinks at a known rate'
        case 'mains':
          return 'the flicker of the light'
        case 'free-fall':
          return 'a ball in free fall'
        default:
          return assertNever(timebase.clock)
      }
    default:
      return assertNever(timebase)
  }
}

function Planes({ record }: { readonly record: SlowlaneRecord }) {
  const rows = Object.values(record.views).flatMap((view) =>
    Object.values(view.planes).map((plane) => ({ view, plane, report: planeReport(record, view.id, plane.id) })),
  )
  if (rows.length === 0) return null
  return (
    <table className="report-table">
      <caption>scale</caption>
      <thead>
        <tr>
          <th scope="col">camera position</th>
          <th scope="col">plane</th>
          <th scope="col">scale from</th>
          <th scope="col" className="number">
            mm a pixel, in the middle
          </th>
        </tr>
      </thead>
      <tbody>
        {rows.map(({ view, plane, report }) => (
          <tr key={`${view.id} ${plane.id}`}>
            <th scope="row">{view.name}</th>
            <td>{plane.name}</td>
            <td>{planeWords(record, plane)}</td>
            <td className="number">
              {report.kind === 'plane-report'
                ? withU(report.scale.mPerPx, report.scale.uRelative * report.scale.mPerPx, { ...units.mm, label: '' })
                : sentenceFor(report)}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}

function planeWords(record: SlowlaneRecord, plane: Plane): string {
  switch (plane.kind) {
    case 'bars':
      return plane.bars.map((bar) => `a bar of ${stated(record, bar.length_m, units.mm)}`).join(', ')
    case 'rectangle':
      return `a rectangle of ${stated(record, plane.width_m, units.mm)} by ${stated(record, plane.height_m, units.mm)}`
    case 'points':
      return `${plane.points.length} points of known position`
    default:
      return assertNever(plane)
  }
}

function Lanes({ record }: { readonly record: SlowlaneRecord }) {
  const lengths = Object.values(record.lanes).some((lane) => lane.length_m)
  return (
    <table className="report-table">
      <caption>lanes</caption>
      <thead>
        <tr>
          <th scope="col">lane</th>
          <th scope="col">guide</th>
          {lengths && (
            <th scope="col" className="number">
              length
            </th>
          )}
          <th scope="col">mounting</th>
          <th scope="col" className="number">
            slope
          </th>
        </tr>
      </thead>
      <tbody>
        {Object.values(record.lanes).flatMap((lane) => {
          const own = Object.values(record.mountings).filter(({ laneId }) => laneId === lane.id)
          const guide = guideName(guideShape(lane.guide, (of) => valueOf(of, record.sources, noDeviations)))
          return (own.length > 0 ? own : [null]).map((mounting) => (
            <tr key={`${lane.id} ${mounting?.id ?? ''}`}>
              <th scope="row">
                <LaneChip laneId={lane.id} /> {lane.name}
              </th>
              <td>{guide}</td>
              {lengths && <td className="number">{stated(record, lane.length_m, units.mm)}</td>}
              <td>{mounting?.name ?? 'none'}</td>
              <td className="number words">{mounting ? slopeWords(record, mounting.id) : ''}</td>
            </tr>
          ))
        })}
      </tbody>
    </table>
  )
}

function slopeWords(record: SlowlaneRecord, mountingId: string): string {
  const report = slopeReport(record, mountingId)
  if (report.kind !== 'slope-report') return sentenceFor(report)
  const { value, u } = report.whole
  return record.settings.slopeUnit === 'deg'
    ? withU(value, u, units.deg)
    : withU(Math.tan(value), u / Math.cos(value) ** 2, units.mm_per_m)
}

function Balls({ record }: { readonly record: SlowlaneRecord }) {
  return (
    <table className="report-table">
      <caption>balls</caption>
      <thead>
        <tr>
          <th scope="col">ball</th>
          <th scope="col">material</th>
          <th scope="col" className="number">
            diameter
          </th>
          <th scope="col" className="number">
            mass or density
          </th>
        </tr>
      </thead>
      <tbody>
        {Object.values(record.balls).map((ball) => (
          <tr key={ball.id}>
            <th scope="row">{ball.name}</th>
            <td>
              {ball.material}
              {ball.hollow && `, hollow: inner over outer radius ${showPlain(ball.hollow.value)}`}
            </td>
            <td className="number">{stated(record, ball.diameter_m, units.mm)}</td>
            <td className="number">
              {ball.mass_kg ? stated(record, ball.mass_kg, units.g) : stated(record, ball.density_kg_m3, units.kg_m3)}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}
