import type { LaneResult } from '../../../workers/fit/results.ts'
import { flagSentence, problemSentence } from '../../../workers/fit/sentences.ts'
import { units } from '../../format/units.ts'
import { showPlain, showValue } from '../../format/value.ts'
import { Flag } from '../../parts/flag.tsx'
import { commonScale, IntervalBar } from '../../parts/interval-bar.tsx'
import { LaneChip } from '../../parts/lane-chip.tsx'
import { ValueU } from '../../parts/value-u.tsx'
import { useRecord } from '../../record/store.ts'
import { rowKey } from './row-key.ts'
import { flagWord, loudFlags } from './flag-words.ts'

/** One row for each lane and finish, all on one common scale of C_rr. */
export function ResultsTable({
  results,
  open,
  onOpen,
}: {
  readonly results: readonly LaneResult[]
  readonly open: string | null
  readonly onOpen: (key: string) => void
}) {
  const record = useRecord((r) => r)
  const scale = commonScale(results.flatMap((result) => (result.crr ? [result.crr.interval] : [])))
  const coverage = `${showPlain(record.settings.coverage * 100)} %`
  return (
    <div className="table-room">
      <table className="results-table">
        <caption className="only-read-aloud">
          Speed, acceleration and rolling resistance of each lane and finish
        </caption>
        <thead>
          <tr>
            <th scope="col">lane</th>
            <th scope="col">finish</th>
            <th scope="col" className="number">
              runs
            </th>
            <th scope="col" className="number">
              entry m/s
            </th>
            <th scope="col" className="number">
              exit m/s
            </th>
            <th scope="col" className="number">
              acceleration m/s²
            </th>
            <th scope="col" className="number">
              C<sub>rr</sub> <small>{coverage}</small>
            </th>
            <th scope="col" className="scale-head">
              <span className="only-read-aloud">interval of C_rr</span>
              <ScaleFigures scale={scale} />
            </th>
            <th scope="col">
              <span className="only-read-aloud">remarks</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {results.map((result) => (
            <Row
              key={rowKey(result)}
              result={result}
              scale={scale}
              open={open === rowKey(result)}
              onOpen={() => onOpen(rowKey(result))}
            />
          ))}
        </tbody>
      </table>
    </div>
  )
}

function Row({
  result,
  scale,
  open,
  onOpen,
}: {
  readonly result: LaneResult
  readonly scale: ReturnType<typeof commonScale>
  readonly open: boolean
  readonly onOpen: () => void
}) {
  const record = useRecord((r) => r)
  const main = result.main === null ? null : result.series[result.main]!
  const finish = record.finishes[result.finishId]?.name ?? ''
  const runs = result.series.reduce((sum, series) => sum + series.runs.length, 0)
  const lane = record.lanes[result.laneId]?.key ?? '?'
  return (
    <tr className={open ? 'chosen' : undefined}>
      <th scope="row">
        <button
          type="button"
          className="row-button"
          aria-pressed={open}
          onClick={onOpen}
          aria-label={`lane ${lane}, ${finish}: show its sheet`}
        >
          <LaneChip laneId={result.laneId} />
        </button>
      </th>
      <td className="finish">{finish}</td>
      <td className="number">{runs}</td>
      <td className="number">{main?.entry ? <Measured of={main.entry.filmed} unit={units.m_s} /> : '–'}</td>
      <td className="number">{main?.exit ? <Measured of={main.exit.filmed} unit={units.m_s} /> : '–'}</td>
      <td className="number">{main ? <Measured of={main.acceleration} unit={units.m_s2} /> : '–'}</td>
      <td className="number">{result.crr ? <Measured of={result.crr} unit={units.one} strong /> : '–'}</td>
      <td>
        {result.crr && (
          <IntervalBar
            value={result.crr.value}
            interval={result.crr.interval}
            scale={scale}
            laneId={result.laneId}
            label={`C_rr ${showValue(result.crr.value, result.crr.U).text}`}
          />
        )}
      </td>
      <td className="remarks">
        {result.problems.slice(0, 1).map((problem, i) => (
          <Flag key={i} title={problemSentence(record, problem)}>
            {result.crr ? 'something left out' : 'no C_rr yet'}
          </Flag>
        ))}
        {loudFlags(result).map((flag, i) => (
          <Flag key={i} title={flagSentence(record, flag)}>
            {flagWord(flag)}
          </Flag>
        ))}
      </td>
    </tr>
  )
}

function Measured({
  of,
  unit,
  strong = false,
}: {
  readonly of: { readonly value: number; readonly U: number }
  readonly unit: (typeof units)[keyof typeof units]
  readonly strong?: boolean
}) {
  return <ValueU value={of.value} U={of.U} unit={unit} strong={strong} />
}

function ScaleFigures({ scale }: { readonly scale: ReturnType<typeof commonScale> }) {
  const at = (x: number) => 6 + 188 * ((x - scale.from) / (scale.to - scale.from))
  return (
    <svg className="scale-figures" viewBox="0 0 200 14" width="200" height="14" aria-hidden="true">
      {scale.ticks.map((tick) => (
        <text key={tick} x={at(tick)} y="11" textAnchor="middle">
          {showPlain(tick)}
        </text>
      ))}
    </svg>
  )
}
