import { useMemo, useState } from 'react'
import type { Clip, Plane, Px, SlowlaneRecord, View } from '../../../workers/record/index.ts'
import { residualItems } from '../../picture/calibration-overlay.ts'
import { useCurrentClip } from '../../picture/current-clip.ts'
import { idleTool, type PictureTool } from '../../picture/overlay.ts'
import { usePicture } from '../../picture/picture-store.ts'
import { Workplace } from '../../picture/workplace.tsx'
import { useSession } from '../../record/session.ts'
import { useRecord, useRecordState } from '../../record/store.ts'
import { EmptyStation } from '../empty-station.tsx'
import { CameraStand } from './camera-stand.tsx'
import { CostsSheet } from './costs-sheet.tsx'
import { GravitySheet } from './gravity-sheet.tsx'
import { LensSheet } from './lens-sheet.tsx'
import { NewScale } from './new-scale.tsx'
import { PlaneSheet } from './plane-sheet.tsx'
import { isPlaced, mayEnd, saysNext, type Placing } from './placing.ts'
import { PlacingRow } from './placing-row.tsx'
import { scaleHandles, scaleItems } from './scale-items.ts'
import { dropPoint, enterEdge, enterGravity, lookAt, settlePlaced, settlePlane, type Said } from './scale-work.ts'
import { followShake, StillSheet } from './still-sheet.tsx'
import { TapeSheet } from './tape-sheet.tsx'
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

function ScaleOf({ clip, view, record }: { clip: Clip; view: View; record: SlowlaneRecord }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const { state } = useCurrentClip()
  const frame = useSession((s) => s.frame)
  const [placing, setPlacing] = useState<Placing | null>(null)
  const [selected, setSelected] = useState<string | null>(null)
  const [said, setSaid] = useState<Said | null>(null)
  const drag = usePicture((s) => s.drag)
  const zoom = usePicture((s) => s.sight.scale)
  const planes = Object.values(view.planes)
  const isOpen = state.kind === 'open'
  const sayAfter = (work: Promise<Said | null>) => void work.then((next) => next && setSaid(next))
  const saidOf = (about: string) => (said?.about === about ? said.text : null)

  const handles = useMemo(
    () => (readOnly ? [] : scaleHandles(view, placing, selected)),
    [placing, selected, view, readOnly],
  )
  const items = useMemo(() => scaleItems(record, view, placing, drag, zoom), [record, view, zoom, drag, placing])

  /** All its points stand: it settles on what is seen, enters the record, or asks for its lengths. */
  const complete = (placed: Placing) => {
    const look = lookAt(clip, frame)
    switch (placed.what) {
      case 'plumb':
      case 'level':
        setPlacing(null)
        return sayAfter(enterGravity(look, view.id, placed))
      case 'edge':
        setPlacing(null)
        return sayAfter(enterEdge(look, view.id, placed))
      case 'still':
        setPlacing(null)
        return sayAfter(followShake(clip, frame, placed.points).then((text) => ({ about: 'still', text })))
      case 'rectangle':
      case 'points':
        setPlacing(placed)
        if (placed.exact) return
        return void settlePlaced(look, placed).then((settled) =>
          // What was given up meanwhile stays given up.
          setPlacing((now) => (now === placed ? settled : now)),
        )
      default:
        return setPlacing(placed)
    }
  }
  const place = (at: Px, how: { readonly exact: boolean }) => {
    if (!placing) return
    const next = { ...placing, points: [...placing.points, at], exact: (placing.exact ?? false) || how.exact }
    if (isPlaced(next)) complete(next)
    else setPlacing(next)
  }

  const tool: PictureTool = {
    says: placing && !isPlaced(placing) ? saysNext(placing) : handles.length > 0 ? 'Drag a point to correct it.' : '',
    handles,
    place: placing && !isPlaced(placing) ? place : undefined,
    onSelect: setSelected,
    onDrop: (handle, to, { exact }) => {
      const [kind, index] = handle.split(' ')
      if (kind !== 'placing') return sayAfter(dropPoint(isOpen ? lookAt(clip, frame) : null, view, handle, to, exact))
      if (placing) {
        const { u_px: _, says: __, ...rest } = placing
        setPlacing({ ...rest, points: placing.points.map((p, i) => (i === Number(index) ? to : p)) })
      }
    },
    onCancel: placing ? () => setPlacing(null) : undefined,
  }

  return (
    <Workplace items={items} tool={tool}>
      <PlacingRow
        placing={placing}
        onPlacing={setPlacing}
        onEnough={() => placing && mayEnd(placing) && complete({ ...placing, done: true })}
      />
      <NewScale view={view} placing={placing} onPlacing={setPlacing} />
      {planes.map((plane) => (
        <PlaneSheet
          key={plane.id}
          view={view}
          plane={plane}
          onPlacing={setPlacing}
          onSettle={isOpen ? (one: Plane) => sayAfter(settlePlane(lookAt(clip, frame), view.id, one)) : undefined}
          says={saidOf(`plane ${plane.id}`) ?? undefined}
          arrowsTimes={residualItems(record, view.id, plane.id, zoom).times}
        />
      ))}
      {planes.length > 0 && <CameraStand view={view} />}
      <GravitySheet view={view} onPlacing={setPlacing} says={saidOf('gravity')} />
      <TapeSheet view={view} onPlacing={setPlacing} />
      <LensSheet view={view} onPlacing={setPlacing} says={saidOf('lens')} />
      <StillSheet view={view} clip={clip} says={saidOf('still')} onPlacing={setPlacing} />
      <CostsSheet view={view} />
    </Workplace>
  )
}
