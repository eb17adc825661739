import type { Clip } from '../../../workers/record/index.ts'
import { showFrame } from '../../picture/frame-keys.ts'
import { useSession } from '../../record/session.ts'
import { commit, useRecordState } from '../../record/store.ts'
import { setTrim, turnView } from './clip-edits.ts'

/** The part of the clip that matters, and which way up it is. */
export function TrimControls({ clip }: { clip: Clip }) {
  const frame = useSession((s) => s.frame)
  const readOnly = useRecordState((s) => s.readOnly)
  const { first, last } = clip.trim ?? { first: 0, last: clip.frames - 1 }
  const trim = (from: number, to: number) =>
    commit(`trim ${clip.name}`, (draft) => {
      const held = draft.clips[clip.id]
      if (held) setTrim(held, from, to)
    })
  return (
    <section aria-labelledby="trim-head">
      <h2 id="trim-head">The part that matters</h2>
      <p>
        Frames{' '}
        <button type="button" className="link" onClick={() => showFrame(first)}>
          {first}
        </button>{' '}
        to{' '}
        <button type="button" className="link" onClick={() => showFrame(last)}>
          {last}
        </button>
        {clip.trim
          ? `, ${last - first + 1} of ${clip.frames}. Marks outside are kept but not used.`
          : ', the whole clip.'}
      </p>
      <div className="button-row">
        <button type="button" className="button" disabled={readOnly || frame >= last} onClick={() => trim(frame, last)}>
          Begin at frame {frame}
        </button>
        <button
          type="button"
          className="button"
          disabled={readOnly || frame <= first}
          onClick={() => trim(first, frame)}
        >
          End at frame {frame}
        </button>
        {clip.trim && (
          <button type="button" className="button" disabled={readOnly} onClick={() => trim(0, clip.frames - 1)}>
            The whole clip
          </button>
        )}
        <button
          type="button"
          className="button"
          disabled={readOnly}
          onClick={() => commit('turn the picture', (draft) => turnView(draft, clip.viewId))}
        >
          Turn by 90°
        </button>
      </div>
    </section>
  )
}
