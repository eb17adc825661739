import { laneStroke } from '../picture/lane-stroke.ts'
import { useRecord } from '../record/store.ts'

/** A lane's sign: sample of its dash and its letter, always together; the same dash is on the picture, the sheet and every plot. */
export function LaneChip({ laneId, withName = false }: { readonly laneId: string; readonly withName?: boolean }) {
  const record = useRecord((r) => r)
  const lane = record.lanes[laneId]
  const { colour, dash } = laneStroke(record, laneId)
  return (
    <span className="lane-chip" style={{ color: colour }}>
      <svg width="26" height="10" viewBox="0 0 26 10" aria-hidden="true">
        <path d="M0 5 H26" fill="none" stroke="currentColor" strokeWidth="2.2" strokeDasharray={dash} />
      </svg>
      <b>
        <span className="only-read-aloud">lane </span>
        {lane?.key ?? '?'}
      </b>
      {withName && lane?.name && <span className="lane-name">{lane.name}</span>}
    </span>
  )
}
