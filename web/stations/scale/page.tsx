import { useMemo, useState } from 'react'
import type { Clip, Px, SlowlaneRecord, View } from '../../../workers/record/index.ts'
import { useCurrentClip } from '../../picture/current-clip.ts'
import { idleTool, type OverlayItem, type PictureHandle, type PictureTool } from '../../picture/overlay.ts'
import { shownAt, usePicture } from '../../picture/picture-store.ts'
import { planeTickItems } from '../../picture/plane-ticks.ts'
import { lineItems, planeItems } from '../../picture/view-overlay.ts'
import { Workplace } from '../../picture/workplace.tsx'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { EmptyStation } from '../empty-station.tsx'
import { CameraStand } from './camera-stand.tsx'
import { addGravityLine, moveGravityPoint } from './gravity-edits.ts'
import { GravitySheet } from './gravity-sheet.tsx'
import { NewScale } from './new-scale.tsx'
import { movePlanePoint, planePoints } from './plane-edits.ts'
import { PlaneSheet } from './plane-sheet.tsx'
import { isPlaced, placedName, saysNext, type Placing } from './placing.ts'
import './scale.css'

export function ScalePage() {
  const record = useRecord((r) => r)
  const { clip } = useCurrentClip()
  const view = clip ? record.views[clip.viewId] : undefined
  if (!clip || !view)
    return (
      <Workplace items={[]} tool={idleTool}>
        <EmptyStation needs="footage" />
      </Workplace>
    )
  return <ScaleOf key={view.id} clip={clip} view={view} record={record} />
}

function ScaleOf({ view, record }: { clip: Clip; view: View; record: SlowlaneRecord }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const [placing, setPlacing] = useState<Placing | null>(null)
  const [selected, setSelected] = useState<string | null>(null)
  const drag = usePicture((s) => s.drag)
  const zoom = usePicture((s) => s.sight.scale)
  const planes = Object.values(view.planes)

  const handles = useMemo((): readonly PictureHandle[] => {
    if (readOnly) return []
    const pending = (placing?.points ?? []).map((at, i) => ({
      id: `placing ${i}`,
      at,
      label: placing ? placedName(placing, i) : '',
      colour: 'var(--accent)',
      selected: selected === `placing ${i}`,
    }))
    // While something is placed, only it can be taken: a press near an old point must not move that.
    if (placing && !isPlaced(placing)) return pending
    const fixed = Object.values(view.planes).flatMap((plane) =>
      planePoints(plane).map(({ name, at }, i) => ({
        id: `plane ${plane.id} ${i}`,
        at,
        label: `${plane.name}: ${name}`,
        colour: 'var(--accent)',
        selected: selected === `plane ${plane.id} ${i}`,
      })),
    )
    const strings = view.gravity.flatMap((line) =>
      [line.a, line.b].map((at, i) => ({
        id: `gravity ${line.id} ${i}`,
        at,
        label: `${line.kind === 'plumb' ? 'string' : 'level edge'}, ${i === 0 ? 'first' : 'second'} point`,
        colour: 'var(--caution)',
        selected: selected === `gravity ${line.id} ${i}`,
      })),
    )
    return [...fixed, ...strings, ...pending]
  }, [placing, selected, view.planes, view.gravity, readOnly])

  const place = (at: Px) => {
    if (!placing) return
    const points = [...placing.points, at]
    const [a, b] = points
    // A string needs no length: it is in the record as soon as its two points stand.
    if ((placing.what === 'plumb' || placing.what === 'level') && a && b) {
      const { what, planeId } = placing
      commit(what === 'plumb' ? 'mark a string' : 'mark a level edge', (draft) => {
        const held = draft.views[view.id]
        if (held) addGravityLine(held, what, a, b, planeId)
      })
      setPlacing(null)
    } else setPlacing({ ...placing, points })
  }

  const tool: PictureTool = {
    says: placing && !isPlaced(placing) ? saysNext(placing) : handles.length > 0 ? 'Drag a point to correct it.' : '',
    handles,
    place: placing && !isPlaced(placing) ? place : undefined,
    onSelect: setSelected,
    onDrop: (handle, to) => {
      const [kind, id, point] = handle.split(' ')
      if (kind === 'placing' && placing)
        setPlacing({ ...placing, points: placing.points.map((p, i) => (i === Number(id) ? to : p)) })
      else if (kind === 'gravity')
        commit('move a point of the plumb line', (draft) => {
          const held = draft.views[view.id]
          if (held) moveGravityPoint(held, id ?? '', Number(point), to)
        })
      else
        commit('move a point of the scale', (draft) => {
          const plane = draft.views[view.id]?.planes[id ?? '']
          if (plane) movePlanePoint(plane, Number(point), to)
        })
    },
    onCancel: placing ? () => setPlacing(null) : undefined,
  }

  const items = useMemo((): OverlayItem[] => {
    const ticks = drag ? [] : planes.flatMap((plane) => planeTickItems(record, view.id, plane.id, zoom))
    const shown = planes.flatMap((plane) => planeItems(plane, (i, at) => shownAt(drag, `plane ${plane.id} ${i}`, at)))
    const pending = (placing?.points ?? []).map((at, i) => shownAt(drag, `placing ${i}`, at))
    const drawn: OverlayItem[] =
      pending.length < 2 || !placing
        ? []
        : placing.what === 'rectangle'
          ? [{ kind: 'outline', id: 'placing', corners: pending, labels: [] }]
          : [{ kind: 'bar', id: 'placing', a: pending[0]!, b: pending[1]!, label: '' }]
    const strings = view.gravity.map((line): OverlayItem => ({
      kind: 'line',
      id: line.id,
      points: [line.a, line.b].map((at, i) => shownAt(drag, `gravity ${line.id} ${i}`, at)),
      stroke: { colour: 'var(--caution)', dash: line.kind === 'plumb' ? undefined : '6 3' },
    }))
    return [...lineItems(record, view), ...ticks, ...shown, ...strings, ...drawn]
  }, [record, view, planes, zoom, drag, placing])

  return (
    <Workplace items={items} tool={tool}>
      <NewScale view={view} placing={placing} onPlacing={setPlacing} />
      {planes.map((plane) => (
        <PlaneSheet key={plane.id} view={view} plane={plane} onPlacing={setPlacing} />
      ))}
      {planes.length > 0 && <CameraStand view={view} />}
      <GravitySheet view={view} onPlacing={setPlacing} />
    </Workplace>
  )
}
