import { useState } from 'react'
import type { Clip, View } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { PlusMinusField } from '../../parts/plus-minus-field.tsx'
import { showFrame } from '../../picture/frame-keys.ts'
import { useSession } from '../../record/session.ts'
import { commit, useRecordState } from '../../record/store.ts'
import { StatedEditor } from '../stated/stated-editor.tsx'
import { dropUnusedSources, writeStated } from '../stated/stated-edits.ts'
import { MeasuredIn, MeasuredRateLine } from './measured-rate.tsx'
import { clockOf, setClock } from './time-edits.ts'

const clock = {
  usual: { kind: 'rectangular', half: 0.005 },
  usualBasis: 'a clock in the picture, read to a hundredth',
} as const

const apartFault = (apart_s: number): string | undefined =>
  apart_s > 0 ? undefined : `${showPlain(apart_s)} s cannot be. Type how long it took, more than 0 s.`

/** The filming rate from two frames a known time apart: a stopwatch in the picture, a lamp switched by a timer. */
export function TwoFrames({ clip, view }: { clip: Clip; view: View }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const frame = useSession((s) => s.frame)
  const recorded = clockOf(view, 'two-frames')
  const here = recorded && recorded.clipId === clip.id ? recorded : null
  const [first, setFirst] = useState<number | null>(null)
  const [last, setLast] = useState<number | null>(null)
  const from = here?.first ?? first
  const to = here?.last ?? last
  const set = (change: { first?: number; last?: number }) => {
    if (!here) {
      if (change.first !== undefined) setFirst(change.first)
      if (change.last !== undefined) setLast(change.last)
      return
    }
    commit('frames of the clock', (draft) => {
      const held = draft.views[view.id]
      if (held) setClock(held, { ...here, ...change })
    })
  }
  return (
    <>
      {recorded && !here && <MeasuredIn clipId={recorded.clipId} />}
      <p className="small quiet">
        A stopwatch in the picture is best: go to the frame where a figure changes, then to one much later. A second
        apart at 240 frames per second tells the rate to 0.3 %.
      </p>
      <div className="button-row">
        <button type="button" className="button" disabled={readOnly} onClick={() => set({ first: frame })}>
          It begins at frame {frame}
        </button>
        <button
          type="button"
          className="button"
          disabled={readOnly || from === null || frame <= from}
          onClick={() => set({ last: frame })}
        >
          It ends at frame {frame}
        </button>
      </div>
      {from !== null && (
        <p>
          From frame <FrameLink frame={from} />
          {to !== null && (
            <>
              {' '}
              to <FrameLink frame={to} />, {to - from} frames
            </>
          )}
          .
        </p>
      )}
      {here ? (
        <StatedEditor
          label="That took"
          unit={units.s}
          stated={here.apart_s}
          about={{ name: 'time between two frames', unit: 's' }}
          put={(draft, apart_s) => {
            const held = draft.views[view.id]
            if (held) setClock(held, { ...here, apart_s })
          }}
          check={apartFault}
          {...clock}
        />
      ) : (
        from !== null &&
        to !== null &&
        to > from && (
          <PlusMinusField
            label="That took"
            unit={units.s}
            figures={null}
            onChange={(entry) =>
              commit('measure the filming rate', (draft) => {
                const held = draft.views[view.id]
                if (!held) return
                const apart_s = writeStated(draft, undefined, entry, { name: 'time between two frames', unit: 's' })
                setClock(held, { kind: 'two-frames', clipId: clip.id, first: from, last: to, apart_s })
                dropUnusedSources(draft)
              })
            }
            check={apartFault}
            readOnly={readOnly}
            {...clock}
          />
        )
      )}
      {here && <MeasuredRateLine view={view} />}
    </>
  )
}

export function FrameLink({ frame }: { frame: number }) {
  return (
    <button type="button" className="link" onClick={() => showFrame(frame)}>
      {frame}
    </button>
  )
}
