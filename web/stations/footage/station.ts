import { lazy } from 'react'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import type { Session } from '../../record/session.ts'
import { pickFootageVerb } from '../../shell/verbs.ts'
import type { NextStep, Station, StationState } from '../registry.ts'

function state(record: SlowlaneRecord): StationState {
  const clips = Object.values(record.clips)
  if (clips.length === 0) return 'not-started'
  return clips.some((clip) => clip.damage !== null) ? 'attention' : 'ready'
}

function next(record: SlowlaneRecord, session: Session): NextStep | null {
  const clips = Object.values(record.clips)
  if (clips.length === 0)
    return {
      text: 'Start with one slow-motion clip of a ball on a lane.',
      action: { label: 'Pick footage', run: () => void pickFootageVerb() },
      after: 'or drop it anywhere; it never leaves this machine.',
    }
  const clip = session.clipId === null ? undefined : record.clips[session.clipId]
  if (clip && clip.interval.uneven > 0)
    return {
      text: `${clip.interval.uneven} of ${clip.frames - 1} intervals of ${clip.name} are uneven: its own timestamps are used frame by frame, so this costs nothing unless frames were dropped.`,
    }
  return null
}

export const station: Station = {
  name: 'footage',
  label: 'Footage',
  Page: lazy(() => import('./page.tsx').then((m) => ({ default: m.FootagePage }))),
  state,
  next,
}
