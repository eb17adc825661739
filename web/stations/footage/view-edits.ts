import type { Draft } from 'immer'
import type { SlowlaneRecord, View } from '../../../workers/record/index.ts'
import { newId } from '../../record/new-id.ts'
import { writeStated } from '../stated/stated-edits.ts'

const degree = Math.PI / 180

/** What is taken until somebody looks: wide enough for a camera stood up by eye (common practice, no source). */
const byEye = { pitch_rad: 10 * degree, yaw_rad: 2 * degree, distance_m: 0.5 } as const

/** A new camera position for pictures of this size: nothing set, the stand of the camera unknown and wide. */
export function addView(draft: Draft<SlowlaneRecord>, picture: { width: number; height: number }): string {
  const id = newId('view-')
  const guess = (name: string, value: number, half: number, unit: 'rad' | 'm') =>
    writeStated(
      draft,
      undefined,
      {
        value,
        distribution: { kind: 'rectangular', half },
        basis: 'not looked at: a camera stood up by eye',
        unknown: true,
      },
      { name, unit },
    )
  const number = Object.keys(draft.views).length + 1
  draft.views[id] = {
    id,
    name: `camera position ${number}`,
    width: picture.width,
    height: picture.height,
    timebase: { kind: 'unset' },
    planes: {},
    gravity: [],
    lines: {},
    pitch_rad: guess('how far the camera looks down', 0, byEye.pitch_rad, 'rad'),
    yaw_rad: guess('how far the camera is turned from square', 0, byEye.yaw_rad, 'rad'),
    distance_m: guess('distance of the camera', 1, byEye.distance_m, 'm'),
  }
  return id
}

/** Views whose pictures have this size: only these can serve a clip. Newest last. */
export const viewsOfSize = (record: SlowlaneRecord, picture: { width: number; height: number }): readonly View[] =>
  Object.values(record.views).filter((view) => view.width === picture.width && view.height === picture.height)

/** Takes views away that no clip uses any more, with the sources only they named. */
export function dropUnusedViews(draft: Draft<SlowlaneRecord>): void {
  const used = new Set([
    ...Object.values(draft.clips).map((clip) => clip.viewId),
    ...Object.values(draft.runs).map((run) => run.viewId),
  ])
  for (const id of Object.keys(draft.views)) if (!used.has(id)) delete draft.views[id]
}
