import { inventedInUse } from '../../../workers/measure/frame-rhythm.ts'
import { sentenceForFilmed } from '../../../workers/measure/note-sentences.ts'
import type { Clip } from '../../../workers/record/index.ts'
import { useRecordState } from '../../record/store.ts'
import { leaveOut, takeAsFilmed } from './frame-check.ts'

/** Where frames of a clip were not filmed: that they are not, and the two ways on. Nothing for a clip of which none is known. */
export function InventedFrames({ clip }: { clip: Clip }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const filmed = clip.filmedFrames
  if (!filmed) return null
  const invented = inventedInUse(clip)
  return (
    <>
      <p aria-live="polite" className={invented.length > 0 ? 'damage' : 'small quiet'}>
        {sentenceForFilmed(filmed.every, filmed.first)}
      </p>
      {invented.length > 0 && (
        <div className="button-row">
          <button
            type="button"
            className="button main"
            disabled={readOnly}
            onClick={() => leaveOut(clip, invented, 'leave invented frames out')}
          >
            Leave the {invented.length} invented frames out
          </button>
          <button type="button" className="button" disabled={readOnly} onClick={() => takeAsFilmed(clip)}>
            They were all filmed
          </button>
        </div>
      )}
    </>
  )
}
