import { useMemo } from 'react'
import { sentenceForCost } from '../../../workers/measure/note-sentences.ts'
import { uncorrectedCosts } from '../../../workers/measure/uncorrected.ts'
import type { SlowlaneRecord, View } from '../../../workers/record/index.ts'
import { showPlain } from '../../format/value.ts'
import { LaneChip } from '../../parts/lane-chip.tsx'
import { useSession } from '../../record/session.ts'
import { useRecord } from '../../record/store.ts'
import { typicalSpeed_m_s } from './typical-speed.ts'

/** What is not corrected in this scene, and what each can cost: computed for the chosen lane, as this camera sees it. */
export function CostsSheet({ view }: { view: View }) {
  const record = useRecord((r) => r)
  const chosen = useSession((s) => s.laneId)
  const laneId = chosen && view.lines[chosen] ? chosen : Object.keys(view.lines)[0]
  const found = useMemo(() => (laneId ? costs(record, view, laneId) : null), [record, view, laneId])
  if (!laneId || !found) return null
  return (
    <details>
      <summary>
        <h2>What is not corrected</h2>
      </summary>
      <p className="small quiet">
        On lane <LaneChip laneId={laneId} />, for a ball at {showPlain(found.speed_m_s, 2)} m/s, if it were so:
      </p>
      {found.list.length === 0 ? (
        <p>Nothing is left uncorrected that this page knows of.</p>
      ) : (
        <ul className="notes">
          {found.list.map((cost) => (
            <li key={cost.kind}>{sentenceForCost(cost)}</li>
          ))}
        </ul>
      )}
    </details>
  )
}

function costs(record: SlowlaneRecord, view: View, laneId: string) {
  const speed_m_s = typicalSpeed_m_s(record, view.id, laneId)
  const list = uncorrectedCosts(record, view.id, laneId, speed_m_s)
  return { speed_m_s, list: [...list].sort((a, b) => Math.abs(b.acceleration_m_s2) - Math.abs(a.acceleration_m_s2)) }
}
