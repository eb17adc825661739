import { useState } from 'react'
import { measuredRate } from '../../../workers/measure/clip-clock.ts'
import { sentenceFor } from '../../../workers/measure/sentences.ts'
import { noDeviations, type Clip, type View } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { PlusMinusField } from '../../parts/plus-minus-field.tsx'
import { showFrame } from '../../picture/frame-keys.ts'
import { useSession } from '../../record/session.ts'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { StatedEditor } from '../stated/stated-editor.tsx'
import { dropUnusedSources, writeStated } from '../stated/stated-edits.ts'
import { setTwoFrames, twoFramesOf } from './time-edits.ts'

const clock = {
  usual: { kind: 'rectangular', half: 0.005 },
  usualBasis: 'a clock in the picture, read to a hundredth',
} as const

const apartFault = (apart_s: number): string | undefined =>
  apart_s > 0 ? undefined : `${showPlain(apart_s)} s cannot be. Type how long it took, more than 0 s.`

/** The filming rate from two frames a known time apart: a stopwatch in the picture, a lamp switched by a timer. */
export function TwoFrames({ clip, view }: { clip: Clip; view: View }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const frame = useSession((s) => s.frame)
  const recorded = twoFramesOf(view)
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
      if (held) setTwoFrames(held, { ...here, ...change })
    })
  }
  const rate = here ? measuredRate(record, view, noDeviations) : null
  return (
    <details open={recorded !== null}>
      <summary className="small quiet">measured in a clip: two frames a known time apart</summary>
      {recorded && !here && (
        <p className="small quiet">The rate was measured in {record.clips[recorded.clipId]?.name ?? 'another clip'}.</p>
      )}
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
            if (held) setTwoFrames(held, { ...here, apart_s })
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
                setTwoFrames(held, { clipId: clip.id, first: from, last: to, apart_s })
                dropUnusedSources(draft)
              })
            }
            check={apartFault}
            readOnly={readOnly}
            {...clock}
          />
        )
      )}
      {rate &&
        (rate.kind === 'rate' ? (
          <p aria-live="polite">
            Filmed at <b>{showPlain(rate.rate_hz, 5)}</b> frames per second.
          </p>
        ) : (
          <p className="damage">{sentenceFor(rate)}</p>
        ))}
    </details>
  )
}

function FrameLink({ frame }: { frame: number }) {
  return (
    <button type="button" className="link" onClick={() => showFrame(frame)}>
      {frame}
    </button>
  )
}
