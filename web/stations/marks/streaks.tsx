import { useState } from 'react'
import type { Clip, View } from '../../../workers/record/index.ts'
import { useSheets } from '../../picture/streak/sheet-store.ts'
import { StreakSheet, type SheetPoint } from '../../picture/streak/streak-sheet.tsx'
import '../../picture/streak/streak.css'
import { setSession, useSession } from '../../record/session.ts'
import { useRecord } from '../../record/store.ts'
import { followFrom, lineStamp, readLanes } from './finding.ts'

/** Points of one streak that the tool needs to follow it. */
const pointsWanted = 2

/** Heights of the chosen lane's sheet and of the others [CSS px]. */
const chosenHeight = 170
const otherHeight = 34

/** The streak sheets, hanging under the picture; the chosen lane's is tall, the others are strips that choose their lane. */
export function Streaks({ clip, view, frame }: { readonly clip: Clip; readonly view: View; readonly frame: number }) {
  const record = useRecord((r) => r)
  const sheets = useSheets()
  const runId = useSession((s) => s.runId)
  const sessionLane = useSession((s) => s.laneId)
  const [clicks, setClicks] = useState<readonly SheetPoint[] | null>(null)
  const lanes = Object.keys(view.lines)
    .filter((laneId) => record.lanes[laneId])
    .sort((a, b) => record.lanes[a]!.key.localeCompare(record.lanes[b]!.key))
  const chosen = sessionLane !== null && lanes.includes(sessionLane) ? sessionLane : lanes[0]
  if (chosen === undefined) return null
  if (sheets.clipId !== clip.id || sheets.byLane.size === 0)
    return (
      <p className="streak-ask quiet">
        {sheets.reading && sheets.clipId === clip.id ? (
          'Reading the streaks …'
        ) : (
          <>
            The streak sheet shows every passage as one curve, position across and time down.{' '}
            <button type="button" className="link" onClick={() => void readLanes(clip, view, false)}>
              Read the streaks of this clip
            </button>
          </>
        )}
      </p>
    )
  const stale = lanes.some((laneId) => sheets.drawnFrom.get(laneId) !== lineStamp(view, laneId))
  const take = (point: SheetPoint) => {
    const points = [...(clicks ?? []), point]
    if (points.length < pointsWanted) return setClicks(points)
    setClicks(null)
    void followFrom(clip, view, chosen, points)
  }
  const ordered = [chosen, ...lanes.filter((laneId) => laneId !== chosen)]
  return (
    <section className="streak-sheets" aria-label="Streak sheets">
      {ordered.map((laneId) => {
        const tile = sheets.byLane.get(laneId)
        const tall = laneId === chosen
        return (
          tile && (
            <StreakSheet
              key={laneId}
              view={view}
              laneId={laneId}
              tile={tile}
              runs={Object.values(record.runs).filter((run) => run.clipId === clip.id && run.laneId === laneId)}
              frame={frame}
              runId={runId}
              height={tall ? chosenHeight : otherHeight}
              clicks={tall ? (clicks ?? []) : []}
              onPoint={tall && clicks ? take : undefined}
              onRun={(id) => setSession({ runId: id, laneId })}
            />
          )
        )
      })}
      <p className="streak-ask">
        <button
          type="button"
          className="link"
          aria-pressed={clicks !== null}
          onClick={() => setClicks(clicks ? null : [])}
        >
          {clicks ? 'Leave off' : 'Follow one streak'}
        </button>{' '}
        <span className="quiet" aria-live="polite">
          {clicks
            ? `Press ${pointsWanted - clicks.length === 1 ? 'one more point' : 'two points'} of the streak of lane ${record.lanes[chosen]?.key ?? ''}.`
            : 'Steep is slow; the twist inside a streak is the ball’s own turning. Control and wheel zoom time.'}
        </span>
        {stale && (
          <>
            {' '}
            A lane’s line was moved since.{' '}
            <button type="button" className="link" onClick={() => void readLanes(clip, view, false)}>
              Read again
            </button>
          </>
        )}
      </p>
    </section>
  )
}
