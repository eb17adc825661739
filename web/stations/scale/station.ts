import { lazy } from 'react'
import { planeMapOf } from '../../../workers/measure/plane-map.ts'
import { noDeviations, type SlowlaneRecord, type View } from '../../../workers/record/index.ts'
import type { Session } from '../../record/session.ts'
import { goTo } from '../../shell/route.ts'
import { perRecord } from '../per-record.ts'
import type { NextStep, Station, StationState } from '../registry.ts'

const usedViews = (record: SlowlaneRecord): View[] => {
  const used = new Set(Object.values(record.clips).map((clip) => clip.viewId))
  return Object.values(record.views).filter((view) => used.has(view.id))
}

/** True when every plane of the view maps pixels to metres. */
const stands = (record: SlowlaneRecord, view: View): boolean =>
  Object.keys(view.planes).length > 0 &&
  Object.keys(view.planes).every((id) => planeMapOf(record, view, id, noDeviations).kind === 'plane')

/** A tape along a lane gives lengths without any plane. */
const hasTape = (view: View): boolean => Object.values(view.lines).some((line) => (line.ticks?.length ?? 0) > 0)

const state = perRecord((record): StationState => {
  const views = usedViews(record)
  if (views.every((view) => Object.keys(view.planes).length === 0 && !hasTape(view))) return 'not-started'
  return views.every((view) => stands(record, view) || hasTape(view)) ? 'ready' : 'attention'
})

function next(record: SlowlaneRecord, session: Session): NextStep | null {
  const clip = session.clipId === null ? undefined : record.clips[session.clipId]
  if (!clip) return { text: 'Scale needs a clip.', action: { label: 'Add footage', run: () => goTo('footage') } }
  const view = record.views[clip.viewId]
  if (!view) return null
  const planes = Object.values(view.planes)
  if (planes.length === 0)
    return {
      text: 'Show what is known in the picture: four corners of a rectangle, or the two ends of a bar, as near to the ball’s path as can be.',
    }
  const unknownPitch = view.pitch_rad.sources.some((id) => record.sources[id]?.unknown)
  if (planes.every((plane) => plane.kind === 'bars') && unknownPitch)
    return {
      text: 'How far the camera looks down is not known, so ± 10° stands in. A rectangle of known size, or its angle ± 1°, makes every speed surer.',
    }
  const unset = usedViews(record).find((v) => !stands(record, v) && !hasTape(v))
  return unset ? { text: `“${unset.name}” has no sound scale yet; choose one of its clips under the picture.` } : null
}

export const station: Station = {
  name: 'scale',
  label: 'Scale',
  Page: lazy(() => import('./page.tsx').then((m) => ({ default: m.ScalePage }))),
  state,
  next,
}
