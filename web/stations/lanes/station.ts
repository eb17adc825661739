import { lazy } from 'react'
import { guideNumbers } from '../../../workers/fit/guide-numbers.ts'
import { laneGeometry } from '../../../workers/measure/lane-geometry.ts'
import { noDeviations, type SlowlaneRecord } from '../../../workers/record/index.ts'
import type { Session } from '../../record/session.ts'
import { goTo } from '../../shell/route.ts'
import { perRecord } from '../per-record.ts'
import type { NextStep, Station, StationState } from '../registry.ts'
import { byKey } from './lane-edits.ts'
import { mountingsOf } from './slope-edits.ts'

const lanesOf = (record: SlowlaneRecord) => Object.values(record.lanes).sort(byKey)

/** What a lane still lacks before a run on it can give a resistance. */
type Lack = 'line' | 'length' | 'slope' | 'ball' | 'guide'

function lacks(record: SlowlaneRecord, laneId: string): Lack | null {
  const views = Object.values(record.views).filter((view) => view.lines[laneId])
  if (views.length === 0) return 'line'
  if (views.every((view) => laneGeometry(record, view.id, laneId, noDeviations).kind !== 'lane')) return 'length'
  const mountings = mountingsOf(record, laneId)
  const bothWays =
    new Set(Object.values(record.runs).flatMap((run) => (run.laneId === laneId ? [run.direction] : []))).size > 1
  if (mountings.every((mounting) => mounting.slope.kind === 'unknown') && !bothWays) return 'slope'
  const balls = Object.keys(record.balls)
  if (balls.length === 0) return 'ball'
  return balls.some((ball) => guideNumbers(record, laneId, ball, noDeviations).kind === 'numbers') ? null : 'guide'
}

const state = perRecord((record): StationState => {
  const lanes = lanesOf(record)
  if (lanes.length === 0) return 'not-started'
  return firstLack(record) === null ? 'ready' : 'attention'
})

/** The first lane that lacks something, and what. */
const firstLack = perRecord((record): { key: string; lack: Lack } | null => {
  for (const lane of lanesOf(record)) {
    const lack = lacks(record, lane.id)
    if (lack) return { key: lane.key, lack }
  }
  return null
})

const words: Readonly<Record<Lack, (key: string) => string>> = {
  line: (key) => `Lane ${key} has no line yet: draw it in one of the clips.`,
  length: (key) => `Lane ${key} has no length: its line needs a plane with a scale.`,
  slope: (key) => `How steep is lane ${key}? Type its slope, or roll the ball both ways.`,
  ball: () => 'Which ball rolls? Choose its size and material.',
  guide: (key) => `No ball of this record rides on lane ${key} as its guide is described.`,
}

function next(record: SlowlaneRecord, session: Session): NextStep | null {
  if (session.clipId === null || !record.clips[session.clipId])
    return { text: 'Lanes are drawn on a clip.', action: { label: 'Add footage', run: () => goTo('footage') } }
  const lanes = lanesOf(record)
  if (lanes.length === 0)
    return { text: 'Draw the first lane: the upper end of the path of the ball’s centre, then the lower one.' }
  const first = firstLack(record)
  if (!first) return null
  const text = words[first.lack](first.key)
  return first.lack === 'length' ? { text, action: { label: 'Go to Scale', run: () => goTo('scale') } } : { text }
}

export const station: Station = {
  name: 'lanes',
  label: 'Lanes',
  Page: lazy(() => import('./page.tsx').then((m) => ({ default: m.LanesPage }))),
  state,
  next,
}
