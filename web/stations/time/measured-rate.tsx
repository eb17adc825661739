import { measuredRate } from '../../../workers/measure/clip-clock.ts'
import { sentenceFor } from '../../../workers/measure/sentences.ts'
import { noDeviations, type View } from '../../../workers/record/index.ts'
import { showValue } from '../../format/value.ts'
import { useRecord } from '../../record/store.ts'
import { chooseClip } from '../../picture/clip-line.tsx'

/** The rate that a view's clock gives, with the ± of the reading alone; or why it gives none. */
export function MeasuredRateLine({ view }: { view: View }) {
  const record = useRecord((r) => r)
  if (view.timebase.kind !== 'measured') return null
  const rate = measuredRate(record, view, noDeviations)
  if (rate.kind !== 'rate') return <p className="damage">{sentenceFor(rate)}</p>
  return (
    <p aria-live="polite">
      Filmed at <b>{showValue(rate.rate_hz, 2 * rate.uRelative * rate.rate_hz).text}</b> frames per second, by the
      reading alone.
    </p>
  )
}

/** The clock was read in another clip of the same camera position. */
export function MeasuredIn({ clipId }: { clipId: string }) {
  const clips = useRecord((r) => r.clips)
  const clip = clips[clipId]
  if (!clip) return null
  return (
    <p className="small quiet">
      The rate was measured in{' '}
      <button type="button" className="link" onClick={() => chooseClip(clipId, clips)}>
        {clip.name}
      </button>
      .
    </p>
  )
}
