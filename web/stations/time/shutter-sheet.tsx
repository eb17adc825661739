import { rateReport } from '../../../workers/measure/rate-report.ts'
import { shutterCost, uncorrectedCosts } from '../../../workers/measure/uncorrected.ts'
import { sentenceForCost } from '../../../workers/measure/note-sentences.ts'
import {
  noDeviations,
  statedUncertainty,
  valueOf,
  type Clip,
  type Shutter,
  type SlowlaneRecord,
  type View,
} from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain, showValue } from '../../format/value.ts'
import { ChoiceRow } from '../../parts/choice-row.tsx'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { StatedEditor } from '../stated/stated-editor.tsx'
import { dropUnusedSources, writeStated } from '../stated/stated-edits.ts'
import { readoutFault } from './sentences.ts'
import { setShutter } from './time-edits.ts'

/** Speed of a ball for which effects are told [m/s]. */
const told_m_s = 0.5
/** Phones take up to this for one picture [s] (common practice, no source). */
const slowest_s = 0.03

const about = { name: 'time from row to row', unit: 's' } as const

/** Rolling shutter: the sensor reads row after row, so a ball farther along the rows is shown later than the frame's time. */
export function ShutterSheet({ clip, view }: { clip: Clip; view: View }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const { shutter } = view
  const frame_s = frameTime(record, clip)
  const longest_s = Math.min(slowest_s, frame_s ?? slowest_s)
  const choose = (reads: Shutter['reads'] | 'off') =>
    commit(reads === 'off' ? 'no shutter correction' : 'direction of the shutter', (draft) => {
      const held = draft.views[view.id]
      if (!held) return
      if (reads === 'off') setShutter(held, null)
      else if (held.shutter) held.shutter.reads = reads
      else
        setShutter(held, {
          reads,
          lineTime_s: writeStated(draft, undefined, wide(rowsOf(view, reads), longest_s), about),
        })
      dropUnusedSources(draft)
    })
  return (
    <details open={shutter !== undefined}>
      <summary>
        <h2>Rolling shutter</h2>
      </summary>
      <p className="small quiet">
        Most sensors read their rows one after the other. Where the rows follow one another along the lane, that changes
        speeds; filmed with the rows along the lane it does next to nothing.
      </p>
      <ChoiceRow
        label="The rows are read, in the picture as shown,"
        value={shutter?.reads ?? 'off'}
        disabled={readOnly}
        choices={[
          { value: 'off', label: 'not corrected' },
          { value: 'down', label: 'downward' },
          { value: 'up', label: 'upward' },
          { value: 'right', label: 'to the right' },
          { value: 'left', label: 'to the left' },
        ]}
        onChange={choose}
      />
      {shutter && (
        <StatedEditor
          label="From one row to the next"
          unit={units.microsecond}
          stated={shutter.lineTime_s}
          about={about}
          put={(draft, lineTime_s) => {
            const held = draft.views[view.id]
            if (held) setShutter(held, { reads: shutter.reads, lineTime_s })
          }}
          check={(line_s) => readoutFault(line_s * rowsOf(view, shutter.reads), frame_s)}
          usual={{ kind: 'rectangular', half: (0.1 * longest_s) / rowsOf(view, shutter.reads) }}
          usualBasis="read off a turning wheel or a lamp of known rate"
          wide={{
            ...wide(rowsOf(view, shutter.reads), longest_s),
            brings: `It is taken as anything from 0 to ${showPlain(1000 * longest_s, 3)} ms for the whole picture. Knowing it takes what stands below out of the ±.`,
          }}
          hint="Film a lamp that blinks fast: the stripes it leaves in one picture are its period apart."
        />
      )}
      {shutter ? (
        <Corrected record={record} view={view} shutter={shutter} />
      ) : (
        <Uncorrected record={record} view={view} />
      )}
    </details>
  )
}

const rowsOf = (view: View, reads: Shutter['reads']): number =>
  reads === 'down' || reads === 'up' ? view.height : view.width

/** Nobody knows: anything between no time at all and the longest that fits between two frames. */
const wide = (rows: number, longest_s: number) => ({
  value: longest_s / 2 / rows,
  distribution: { kind: 'rectangular', half: longest_s / 2 / rows } as const,
  basis: 'not known: from nothing to the whole time between frames',
  unknown: true,
})

function frameTime(record: SlowlaneRecord, clip: Clip): number | null {
  const report = rateReport(record, clip.id)
  return report.kind === 'rate-report' ? report.secondsPerFrame : null
}

/** What the correction does on each lane, and what its ± leaves. */
function Corrected({ record, view, shutter }: { record: SlowlaneRecord; view: View; shutter: Shutter }) {
  const line_s = valueOf(shutter.lineTime_s, record.sources, noDeviations)
  const u_s = statedUncertainty(shutter.lineTime_s, record.sources)
  const rows = rowsOf(view, shutter.reads)
  const whole = showValue(1000 * line_s * rows, 2000 * u_s * rows, 'ms').text
  return (
    <>
      <p>
        One picture is read in <b>{whole}</b>; every mark gets the time of its own row.
      </p>
      <ul className="small quiet">
        {Object.keys(view.lines).map((laneId) => {
          const put = shutterCost(record, view, laneId, told_m_s, line_s, shutter.reads)
          const left = shutterCost(record, view, laneId, told_m_s, 2 * u_s, shutter.reads)
          if (!put || !left) return null
          return (
            <li key={laneId}>
              Lane {record.lanes[laneId]?.key}, a ball at {told_m_s} m/s: without it v would read{' '}
              {showPlain(put.speed_percent, 2)} % off and a {showPlain(put.acceleration_m_s2, 2)} m/s²; its ± leaves ±{' '}
              {showPlain(Math.abs(left.speed_percent), 2)} % and ± {showPlain(Math.abs(left.acceleration_m_s2), 2)}{' '}
              m/s².
            </li>
          )
        })}
      </ul>
    </>
  )
}

function Uncorrected({ record, view }: { record: SlowlaneRecord; view: View }) {
  const costs = Object.keys(view.lines).flatMap((laneId) => {
    const cost = uncorrectedCosts(record, view.id, laneId, told_m_s).find(({ kind }) => kind === 'shutter')
    return cost ? [{ laneId, cost }] : []
  })
  if (costs.length === 0) return null
  return (
    <ul className="small quiet">
      {costs.map(({ laneId, cost }) => (
        <li key={laneId}>
          Lane {record.lanes[laneId]?.key}, a ball at {told_m_s} m/s: {sentenceForCost(cost)}
        </li>
      ))}
    </ul>
  )
}
