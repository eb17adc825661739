import type { LaneLine, Plane, SlowlaneRecord, Stated, View } from '../record/index.ts'
import {
  clockSources,
  gravitySources,
  lensSources,
  lineSources,
  nearerIsStated,
  planeSources,
  stationSources,
} from './implicit-sources.ts'
import { commonSources } from './independent-parts.ts'
import { pieceSourceId } from './time-of.ts'

/** Ids of every source, stated or following from the record, that can move this run's samples or its mounting's slope. Guide and ball are not among them. */
export function sourcesOfRun(record: SlowlaneRecord, runId: string): string[] {
  const run = record.runs[runId]
  if (!run) return []
  return [...new Set([...sampleSources(record, runId), ...slopeSources(record, run.mountingId)])]
}

/** Ids of the sources that can move a run's times or places. */
export function sampleSources(record: SlowlaneRecord, runId: string): string[] {
  const run = record.runs[runId]
  const view = run && record.views[run.viewId]
  const clip = run && record.clips[run.clipId]
  if (!run || !view || !clip) return []
  const ids = new Set<string>(timeSources(record, view))
  for (const i of (clip.pieces ?? []).keys()) ids.add(pieceSourceId(clip.id, i))
  for (const id of view.shutter?.lineTime_s.sources ?? []) ids.add(id)
  for (const id of laneSources(record, view, run.laneId)) ids.add(id)
  return [...ids]
}

/** Ids of the sources that can move a mounting's slope. */
export function slopeSources(record: SlowlaneRecord, mountingId: string): string[] {
  const mounting = record.mountings[mountingId]
  if (!mounting) return []
  const { slope } = mounting
  switch (slope.kind) {
    case 'angle':
      return [...slope.angle_rad.sources]
    case 'gradient':
      return [...slope.gradient.sources]
    case 'heights':
      return [...new Set([...slope.upper_m.sources, ...slope.lower_m.sources, ...slope.apart_m.sources])]
    case 'from-picture': {
      const view = record.views[slope.viewId]
      if (!view) return []
      const gravity = gravitySources(record, view).map((source) => source.id)
      return [...new Set([...laneSources(record, view, mounting.laneId), ...gravity, ...view.distance_m.sources])]
    }
    case 'along':
      return [
        ...commonSources(slope.height_m, record),
        ...stationSources(record, mountingId).map((source) => source.id),
      ]
    case 'unknown':
      return []
  }
}

/** Ids of the sources that can move lengths on a plane: its own and the lens. */
export function planeSourceIds(record: SlowlaneRecord, view: View, planeId: string): string[] {
  return [...new Set([...lensIds(record, view), ...planeIds(record, view, planeId)])]
}

/** Ids of the sources that move how a view turns frames into seconds. */
export function timeSources(record: SlowlaneRecord, view: View): string[] {
  const { timebase } = view
  switch (timebase.kind) {
    case 'unset':
      return []
    case 'file':
      return [...timebase.drift.sources]
    case 'filmed-at':
      return [...timebase.rate_hz.sources]
    case 'measured': {
      const own = clockSources(record, view).map((source) => source.id)
      const { clock } = timebase
      switch (clock.kind) {
        case 'two-frames':
          return [...own, ...clock.apart_s.sources]
        case 'lamp':
          return [...own, ...clock.blink_hz.sources]
        case 'mains':
          return [...own, ...clock.flicker_hz.sources]
        case 'free-fall':
          return [
            ...own,
            ...record.settings.gravity.g_m_s2.sources,
            ...lensIds(record, view),
            ...planeIds(record, view, clock.planeId),
          ]
      }
    }
  }
}

/** Ids of the sources that can move a lane's places in a view. */
export function laneSources(record: SlowlaneRecord, view: View, laneId: string): string[] {
  const line = view.lines[laneId]
  if (!line) return []
  const ids = [...lensIds(record, view), ...lineSources(record, view, line).map((source) => source.id)]
  ids.push(...commonSources(line.tickPosition_m, record))
  if (line.nearer_m) ids.push(...line.nearer_m.sources)
  const plane = line.planeId === null ? undefined : view.planes[line.planeId]
  if (line.planeId !== null) ids.push(...planeIds(record, view, line.planeId))
  if (plane?.nearer_m) ids.push(...plane.nearer_m.sources)
  if (!nearerIsExactly0(view, line, plane)) ids.push(...view.distance_m.sources)
  // A straight taped lane without a plane is judged before a camera that stands as the view says.
  if (line.planeId === null && line.ticks) ids.push(...standIds(view))
  return ids
}

function nearerIsExactly0(view: View, line: LaneLine, plane: Plane | undefined): boolean {
  const exact0 = (stated: Stated | undefined) => !stated || (stated.value === 0 && stated.sources.length === 0)
  return nearerIsStated(view, line) && exact0(line.nearer_m) && exact0(plane?.nearer_m)
}

function lensIds(record: SlowlaneRecord, view: View): string[] {
  const typed = view.lens?.kind === 'typed' ? view.lens.k1.sources : []
  return [...typed, ...lensSources(record, view).map((source) => source.id)]
}

const standIds = (view: View) => [...view.pitch_rad.sources, ...view.yaw_rad.sources, ...view.distance_m.sources]

function planeIds(record: SlowlaneRecord, view: View, planeId: string): string[] {
  const plane = view.planes[planeId]
  if (!plane) return []
  const ids = planeSources(record, view, plane).map((source) => source.id)
  switch (plane.kind) {
    case 'bars': {
      // With more than one string or edge, their parallelism helps to find how the camera stands.
      const gravity = view.gravity.length > 1 ? gravitySources(record, view).map((source) => source.id) : []
      return [...ids, ...plane.bars.flatMap((bar) => bar.length_m.sources), ...standIds(view), ...gravity]
    }
    case 'rectangle':
      return [...ids, ...plane.width_m.sources, ...plane.height_m.sources]
    case 'points':
      return [...ids, ...commonSources(plane.position_m, record)]
  }
}
