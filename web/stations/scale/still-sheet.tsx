import { useMemo, type MouseEvent } from 'react'
import { shakeFromFeatures } from '../../../workers/measure/shake-from-features.ts'
import { sentenceForShake } from '../../../workers/measure/note-sentences.ts'
import type { Clip, View } from '../../../workers/record/index.ts'
import { showPlain } from '../../format/value.ts'
import { beginPlacing } from '../../picture/begin-placing.ts'
import { openClipOf } from '../../picture/current-clip.ts'
import { Plot } from '../../plots/plot.tsx'
import { commit, useRecordState } from '../../record/store.ts'
import { beginWork } from '../../shell/progress.ts'
import type { Placing } from './placing.ts'
import { noLookSentence } from './sentences.ts'
import { forgetShake, putShake } from './shake-edits.ts'
import { greatestShift_px, shakeFigure } from './shake-figure.ts'

interface Props {
  readonly view: View
  readonly clip: Clip
  readonly says: string | null
  readonly onPlacing: (placing: Placing) => void
}

/** A camera that was not quite still: two or more still things tell where each frame went, and marks are put back. */
export function StillSheet({ view, clip, says, onPlacing }: Props) {
  const readOnly = useRecordState((s) => s.readOnly)
  const { shake } = clip
  const corner_px = Math.hypot(view.width, view.height) / 2
  const figure = useMemo(() => shake && shakeFigure(shake, clip.name, corner_px), [shake, clip.name, corner_px])
  const isStill = shake !== undefined && greatestShift_px(shake, corner_px) < Math.max(0.05, 3 * shake.u_px)
  const begin = (event: MouseEvent) => {
    onPlacing({ what: 'still', planeId: null, points: [] })
    beginPlacing(event)
  }
  return (
    <details open={shake !== undefined || says !== null}>
      <summary>
        <h2>Camera shake</h2>
      </summary>
      <p className="small quiet">
        When the camera was in a hand or its table was knocked: mark two or more still things far apart (corners, spots,
        no plain edges) on the frame on which scale and lanes were placed. The tool follows them through the clip and
        every mark is put back by what they moved.
      </p>
      {figure && shake && (
        <>
          <p>
            The picture goes up to <b>{showPlain(greatestShift_px(shake, corner_px), 2)} px</b> from where it was. Marks
            are put back to ± {showPlain(2 * shake.u_px, 2)} px, which is counted in every mark.
            {isStill &&
              ' That is hardly more than following can tell: the camera stood still, and this may be forgotten.'}
          </p>
          <Plot figure={figure} height={150} />
        </>
      )}
      {says && (
        <p className={shake ? 'small' : 'damage'} aria-live="polite">
          {says}
        </p>
      )}
      <div className="button-row">
        <button type="button" className="button" disabled={readOnly} onClick={begin}>
          {shake ? 'Mark still things anew' : 'Mark still things'}
        </button>
        {shake && (
          <button
            type="button"
            className="button plain"
            disabled={readOnly}
            onClick={() =>
              commit('forget the shake', (draft) => {
                const held = draft.clips[clip.id]
                if (held) forgetShake(held)
              })
            }
          >
            forget it
          </button>
        )}
      </div>
    </details>
  )
}

/** Follows the marked things through the clip and keeps what came of it. What is said afterwards, as a sentence. */
export async function followShake(clip: Clip, reference: number, places: Placing['points']): Promise<string> {
  const open = openClipOf(clip.id)
  if (!open) return noLookSentence({ kind: 'no-look', why: 'no-frames' })
  const work = beginWork(`Following ${places.length} still things`, 'frames')
  const first = clip.trim?.first ?? 0
  const last = clip.trim?.last ?? clip.frames - 1
  try {
    const found = await open.run(
      'follow-still',
      { turn_deg: clip.turn, reference, first, last, places },
      {
        signal: work.signal,
        onProgress: ({ fraction }) => work.progress(Math.round(fraction * (last - first + 1)), last - first + 1),
      },
    )
    switch (found.kind) {
      case 'mirrored':
      case 'missing-frame':
        return noLookSentence({ kind: 'no-look', why: found.kind })
      case 'no-contrast':
        return `Still thing ${found.feature + 1}: ${sentenceForShake({ kind: 'no-contrast' })}`
      case 'followed': {
        const shake = shakeFromFeatures(found.frames, found.paths, found.referenceIndex)
        if (shake.kind !== 'shake') return sentenceForShake(shake)
        commit('take out the camera’s shake', (draft) => {
          const held = draft.clips[clip.id]
          if (held) putShake(held, shake.track)
        })
        return `Followed on ${found.frames.length} frames; the still things agree to ${showPlain(shake.rms_px, 2)} px.`
      }
    }
  } catch (cause) {
    if (work.signal.aborted) return 'Cancelled; nothing was changed.'
    console.error('still things could not be followed', cause)
    return `The clip could not be read through (${cause instanceof Error ? cause.message : String(cause)}). Nothing was changed.`
  } finally {
    work.end()
  }
}
