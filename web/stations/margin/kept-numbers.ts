import type { Draft } from 'immer'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import { commit, useRecord } from '../../record/store.ts'

/** A number that belongs to a lane and only this page asks for, kept with the record in its free part. */
export function useKept(
  what: KeptWhat,
  laneId: string,
): { readonly value: number | null; readonly keep: (value: number | null) => void } {
  const key = keyOf(what, laneId)
  const held = useRecord((record) => record.settings.extra?.[key])
  return {
    value: typeof held === 'number' ? held : null,
    keep: (value) =>
      commit(`set ${names[what]}`, ({ settings }) => {
        const extra = { ...settings.extra }
        if (value === null) delete extra[key]
        else extra[key] = value
        settings.extra = extra
      }),
  }
}

const names = {
  interval_s: 'the interval between balls',
  exitRate_per_s: 'what the exit lets through',
  gap_m: 'the gap at a joint',
  step_m: 'the step at a joint',
} as const
type KeptWhat = keyof typeof names

const keyOf = (what: KeptWhat, laneId: string): string => `${what}.${laneId}`.slice(0, 64)

/** The lane goes, and what was kept of it with it. */
export function forgetKept(draft: Draft<SlowlaneRecord>, laneId: string): void {
  const { extra } = draft.settings
  if (!extra) return
  for (const what of Object.keys(names) as KeptWhat[]) delete extra[keyOf(what, laneId)]
}
