import { useMemo, useState, type MouseEvent } from 'react'
import type { Px, SlowlaneRecord, View } from '../../../workers/record/index.ts'
import { beginPlacing } from '../../picture/begin-placing.ts'
import { useCurrentClip } from '../../picture/current-clip.ts'
import { laneStroke } from '../../picture/lane-stroke.ts'
import { idleTool, type OverlayItem, type PictureHandle, type PictureTool } from '../../picture/overlay.ts'
import { shownAt, usePicture } from '../../picture/picture-store.ts'
import { laneTickItems } from '../../picture/plane-ticks.ts'
import { lineItems, planeItems } from '../../picture/view-overlay.ts'
import { Workplace } from '../../picture/workplace.tsx'
import { setSession, useSession } from '../../record/session.ts'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { EmptyStation } from '../empty-station.tsx'
import { BallSheet } from './ball-sheet.tsx'
import { FinishSheet } from './finish-sheet.tsx'
import { GuideSheet } from './guide-sheet.tsx'
import { drawLane, drawLine, insertPoint, removePoint } from './lane-edits.ts'
import { LaneList } from './lane-list.tsx'
import { LineSheet } from './line-sheet.tsx'
import { OffLine } from './off-line.tsx'
import { saysNext, type Drawing } from './drawing.ts'
import { SlopeSheet } from './slope-sheet.tsx'
import './lanes.css'

export function LanesPage() {
  const record = useRecord((r) => r)
  const { clip } = useCurrentClip()
  const view = clip ? record.views[clip.viewId] : undefined
  if (!view)
    return (
      <Workplace items={[]} tool={idleTool}>
        <EmptyStation needs="footage" />
      </Workplace>
    )
  return <LanesOf key={view.id} view={view} record={record} />
}

function LanesOf({ view, record }: { view: View; record: SlowlaneRecord }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const chosenLane = useSession((s) => s.laneId)
  const lane = record.lanes[chosenLane ?? ''] ?? Object.values(record.lanes)[0]
  const line = lane && view.lines[lane.id]
  const [drawing, setDrawing] = useState<Drawing | null>(null)
  const [selected, setSelected] = useState<string | null>(null)
  const drag = usePicture((s) => s.drag)
  const zoom = usePicture((s) => s.sight.scale)
  const colour = lane ? laneStroke(record, lane.id).colour : 'var(--accent)'

  const begin = (event: MouseEvent, what: Drawing['what'], laneId: string | null) => {
    setDrawing({ what, laneId, points: [] })
    beginPlacing(event)
  }
  const place = (at: { x: number; y: number }) => {
    if (!drawing) return
    if (drawing.what === 'point') {
      commit('add a point to the lane line', (draft) => {
        const held = draft.views[view.id]?.lines[drawing.laneId ?? '']
        if (held) insertPoint(held, at)
      })
      return setDrawing(null)
    }
    const points = [...drawing.points, at]
    if (drawing.what === 'bent' || points.length < 2) return setDrawing({ ...drawing, points })
    enter(drawing, points)
  }
  const enter = (drawn: Drawing, points: readonly Px[]) => {
    setDrawing(null)
    let laneId = drawn.laneId
    commit(laneId === null ? 'draw a lane' : 'draw the lane line', (draft) => {
      const held = draft.views[view.id]
      if (!held) return
      if (laneId === null) laneId = drawLane(draft, held, points, 'curve')
      else drawLine(held, laneId, points, 'curve')
    })
    setSession({ laneId })
  }

  const handles = useMemo((): readonly PictureHandle[] => {
    if (readOnly) return []
    if (drawing)
      return drawing.points.map((at, i) => ({
        id: `drawing ${i}`,
        at,
        label: i === 0 ? 'start of the lane, not yet entered' : `point ${i + 1}, not yet entered`,
        colour,
      }))
    return (line?.points ?? []).map((at, i) => ({
      id: `line ${i}`,
      at,
      label: `lane ${lane?.key ?? ''}, ${pointName(i, line?.points.length ?? 0)}`,
      colour,
      selected: selected === `line ${i}`,
    }))
  }, [drawing, line, lane, colour, selected, readOnly])

  const tool: PictureTool = {
    says: drawing ? saysNext(drawing) : handles.length > 0 ? 'Drag a point of the line to correct it.' : '',
    handles,
    place: drawing ? place : undefined,
    onSelect: setSelected,
    onDrop: (handle, to) => {
      const [kind, number] = handle.split(' ')
      if (kind === 'drawing')
        setDrawing((d) => d && { ...d, points: d.points.map((p, i) => (i === Number(number) ? to : p)) })
      else if (lane)
        commit('move a point of the lane line', (draft) => {
          const points = draft.views[view.id]?.lines[lane.id]?.points
          if (points?.[Number(number)]) points[Number(number)] = { x: to.x, y: to.y }
        })
    },
    onDelete: (handle) => {
      const [kind, number] = handle.split(' ')
      if (kind === 'line' && lane)
        commit('take a point out of the lane line', (draft) => {
          const held = draft.views[view.id]?.lines[lane.id]
          if (held) removePoint(held, Number(number))
        })
    },
    onCancel: drawing ? () => setDrawing(null) : undefined,
  }

  const items = useMemo((): OverlayItem[] => {
    const ticks = lane && line && !drag ? laneTickItems(record, view.id, lane.id, zoom) : []
    const pending: OverlayItem[] =
      drawing && drawing.points.length > 1
        ? [
            {
              kind: 'line',
              id: 'drawing',
              points: drawing.points.map((at, i) => shownAt(drag, `drawing ${i}`, at)),
              stroke: { colour, dash: '3 3' },
            },
          ]
        : []
    return [
      ...Object.values(view.planes).flatMap((plane) => planeItems(plane)),
      ...ticks,
      ...lineItems(record, view, lane?.id, (i, at) => shownAt(drag, `line ${i}`, at)),
      ...pending,
    ]
  }, [record, view, lane, line, drag, zoom, drawing, colour])

  return (
    <Workplace
      items={items}
      tool={tool}
      colour={colour}
      below={
        lane && (
          <div className="under-sheets">
            <GuideSheet lane={lane} />
            <div>
              <BallSheet laneId={lane.id} />
              <FinishSheet laneId={lane.id} />
            </div>
          </div>
        )
      }
    >
      <LaneList
        view={view}
        laneId={lane?.id ?? null}
        drawing={drawing}
        onDraw={begin}
        onEnough={() => drawing && enter(drawing, drawing.points)}
        onTakeBack={() => setDrawing((d) => d && { ...d, points: d.points.slice(0, -1) })}
        onGiveUp={() => setDrawing(null)}
      />
      {lane && (
        <>
          <LineSheet view={view} lane={lane} onDraw={begin} />
          <OffLine view={view} laneId={lane.id} />
          <SlopeSheet lane={lane} view={view} />
        </>
      )}
    </Workplace>
  )
}

const pointName = (i: number, count: number): string =>
  i === 0 ? 'upper end' : i === count - 1 ? 'lower end' : `point ${i + 1}`
