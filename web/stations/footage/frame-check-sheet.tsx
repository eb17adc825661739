import type { ClipFacts } from '../../../workers/bridge/decode-client.ts'
import { droppedFrames } from '../../../workers/measure/dropped-frames.ts'
import { sentenceForInvented } from '../../../workers/measure/note-sentences.ts'
import type { Clip } from '../../../workers/record/index.ts'
import { useMemo } from 'react'
import { showFrame } from '../../picture/frame-keys.ts'
import { useRecordState } from '../../record/store.ts'
import { expectedWait } from './expected-wait.ts'
import { checkFrames, takeAllFrames, useFrameCheck } from './frame-check.ts'
import { InventedFrames } from './invented-frames.tsx'

/** Frames that are named one by one; more are counted. */
const mostNamed = 12

/** Whether every frame is a new picture taken at its time: dropped ones by the timestamps, repeated and invented ones by the picture. */
export function FrameCheckSheet({ clip, facts }: { clip: Clip; facts: ClipFacts | null }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const check = useFrameCheck(clip)
  const gaps = useMemo(() => (facts && facts.timescale_hz > 0 ? droppedFrames(facts.ticks) : []), [facts])
  const missing = gaps.reduce((sum, gap) => sum + gap.missing, 0)
  const left = clip.repeated ?? []
  const count = (clip.trim?.last ?? clip.frames - 1) - (clip.trim?.first ?? 0) + 1
  const wait = facts ? expectedWait(facts, count) : null
  return (
    <section aria-labelledby="frames-head">
      <h2 id="frames-head">Is every frame a picture of its own?</h2>
      {facts && facts.timescale_hz > 0 && (
        <p>
          {missing === 0
            ? 'The timestamps show no gap: no frame was dropped.'
            : `${missing} ${missing === 1 ? 'frame was' : 'frames were'} dropped, by the timestamps, before frame`}
          {missing > 0 && <Frames frames={gaps.map((gap) => gap.frame)} />}
          {missing > 0 && ' With timestamps as time that costs nothing; with frame numbers it would.'}
        </p>
      )}
      {check && check.reading.kind !== 'invented' && (
        <p aria-live="polite">
          {check.reading.kind === 'looks-real' && check.repeated.length > 0
            ? `${check.repeated.length} ${check.repeated.length === 1 ? 'frame repeats' : 'frames repeat'} the picture before. The others change as filmed frames do.`
            : sentenceForInvented(check.reading)}
        </p>
      )}
      <InventedFrames clip={clip} />
      {left.length > 0 && (
        <p>
          {left.length} {left.length === 1 ? 'frame is' : 'frames are'} left out of every measurement:
          <Frames frames={left} />{' '}
          <button type="button" className="link" disabled={readOnly} onClick={() => takeAllFrames(clip)}>
            use them again
          </button>
        </p>
      )}
      {!check && (
        <p className="small quiet">
          Cameras and converters repeat frames, and phones invent some between filmed ones. The pictures tell, where
          something moves. {wait}
        </p>
      )}
      <div>
        <button type="button" className="button" disabled={readOnly || !facts} onClick={() => void checkFrames(clip)}>
          {check ? 'Look again' : 'Look at every frame'}
        </button>
      </div>
    </section>
  )
}

function Frames({ frames }: { frames: readonly number[] }) {
  return (
    <>
      {frames.slice(0, mostNamed).map((frame) => (
        <span key={frame}>
          {' '}
          <button type="button" className="link" onClick={() => showFrame(frame)}>
            {frame}
          </button>
        </span>
      ))}
      {frames.length > mostNamed && ` and ${frames.length - mostNamed} more`}.
    </>
  )
}
