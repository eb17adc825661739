import { lazy } from 'react'
import { timeRuleOf } from '../../../workers/measure/time-of.ts'
import { noDeviations, type SlowlaneRecord, type View } from '../../../workers/record/index.ts'
import { showPlain } from '../../format/value.ts'
import type { Session } from '../../record/session.ts'
import { perRecord } from '../per-record.ts'
import type { NextStep, Station, StationState } from '../registry.ts'
import { goTo } from '../../shell/route.ts'
import { speaksAgainst } from './speaks-against.ts'
import { takeTag } from './take-rate.ts'

/** Views that clips were filmed from. */
const usedViews = (record: SlowlaneRecord): View[] => {
  const used = new Set(Object.values(record.clips).map((clip) => clip.viewId))
  return Object.values(record.views).filter((view) => used.has(view.id))
}

const state = perRecord((record): StationState => {
  const views = usedViews(record)
  if (views.every((view) => view.timebase.kind === 'unset')) return 'not-started'
  const sound = Object.values(record.clips).every((clip) => {
    const view = record.views[clip.viewId]
    return (
      view !== undefined &&
      timeRuleOf(record, clip, noDeviations).kind === 'time-rule' &&
      speaksAgainst(record, clip, view).length === 0
    )
  })
  return sound ? 'ready' : 'attention'
})

function next(record: SlowlaneRecord, session: Session): NextStep | null {
  const clip = session.clipId === null ? undefined : record.clips[session.clipId]
  if (!clip) return { text: 'Time needs a clip.', action: { label: 'Add footage', run: () => goTo('footage') } }
  const view = record.views[clip.viewId]
  if (view?.timebase.kind === 'unset') {
    const tag = clip.filmingRateTag_hz
    return tag === null
      ? {
          text: `${clip.name} plays at ${showPlain(clip.fileRate_hz, 5)} frames per second; say at how many it was filmed. A wrong rate is the largest error there is.`,
        }
      : {
          text: `${clip.name} plays at ${showPlain(clip.fileRate_hz, 5)}, but its tag says it was filmed at ${showPlain(tag, 5)}.`,
          action: { label: `Take ${showPlain(tag, 5)}`, run: () => takeTag(view, tag) },
        }
  }
  const rule = timeRuleOf(record, clip, noDeviations)
  if (rule.kind === 'frames-invented')
    return { text: `${rule.inUse} frames of ${clip.name} were not filmed. Leave them out before anything is measured.` }
  const unset = usedViews(record).find((v) => v.timebase.kind === 'unset')
  if (unset) return { text: `“${unset.name}” has no time rule yet; choose one of its clips under the picture.` }
  return null
}

export const station: Station = {
  name: 'time',
  label: 'Time',
  Page: lazy(() => import('./page.tsx').then((m) => ({ default: m.TimePage }))),
  state,
  next,
}
