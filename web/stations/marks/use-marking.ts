import { useCallback, useRef, useState } from 'react'
import type { Clip, Px, Run, View } from '../../../workers/record/index.ts'
import { recordStore } from '../../record/store.ts'
import { sessionStore } from '../../record/session.ts'
import { ballRadius_px } from './ball-radius.ts'
import { placeMark } from './marking.ts'
import type { RunPlan } from './run-edits.ts'
import { isSettling, settle } from './settling.ts'

interface Situation {
  readonly clip: Clip
  readonly view: View
  readonly frame: number
  readonly run: Run | null
  readonly planned: RunPlan | null
  /** The frame that would be marked is the one on show. */
  readonly onShow: boolean
  readonly onPlaced: () => void
}

/** `pressed`: settles where an outline is found. `exact`: stays. `expected`: nobody pressed, so only an outline makes it a mark. */
export type How = 'pressed' | 'exact' | 'expected'

/** Places marks one at a time: a press while the one before is still looked at is not taken twice. */
export function useMarking(situation: Situation): {
  readonly place: (at: Px, how: How) => Promise<void>
  /** Why the last press did not settle; null when it did. */
  readonly said: string | null
} {
  const { clip, view, frame, run, planned, onShow, onPlaced } = situation
  const busy = useRef(false)
  const [said, setSaid] = useState<string | null>(null)
  const place = useCallback(
    async (at: Px, how: How): Promise<void> => {
      const plan = planned ?? run
      if (!onShow || busy.current || !plan) return
      busy.current = true
      try {
        const enter = (to: Px, settled_px: number | null) => {
          const id = placeMark({ clip, frame, at: to, run, planned, settled_px })
          if (id !== null && planned) onPlaced()
        }
        if (how === 'exact' || !isSettling()) {
          setSaid(null)
          return enter(at, null)
        }
        const { record } = recordStore.getState()
        const radius = ballRadius_px(record, view.id, plan.laneId, plan.ballId, at)
        const outcome = await settle(clip, frame, at, radius, view.lines[plan.laneId])
        // Somebody stepped on meanwhile: the press was for a frame that is no longer looked at.
        if (sessionStore.getState().frame !== frame) return
        switch (outcome.kind) {
          case 'settled':
            setSaid(null)
            return enter(outcome.at, outcome.sigma_px)
          case 'unsure':
            if (how === 'expected') return setSaid(`Not marked. ${outcome.says}`)
            setSaid(`Marked exactly where you pressed. ${outcome.says}`)
            return enter(at, null)
          case 'no-look':
            if (how === 'expected')
              return setSaid('Not marked: the frame could not be looked at. Press on the ball’s centre.')
            setSaid(null)
            return enter(at, null)
        }
      } finally {
        busy.current = false
      }
    },
    [clip, view, frame, run, planned, onShow, onPlaced],
  )
  return { place, said }
}
