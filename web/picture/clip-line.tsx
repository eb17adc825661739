import type { Clip } from '../../workers/record/index.ts'
import { setSession } from '../record/session.ts'
import { useRecord } from '../record/store.ts'
import { showFrame } from './frame-keys.ts'
import { setSight, showWhole, usePicture } from './picture-store.ts'
import { isFitted, zoomed } from './sight.ts'

interface Props {
  readonly clip: Clip
  readonly frame: number
  readonly time: string
  /** What a press on the picture does now. */
  readonly says: string
}

/** One thin line under the picture: which clip, which frame, how near. */
export function ClipLine({ clip, frame, time, says }: Props) {
  const clips = useRecord((r) => r.clips)
  const whole = usePicture((s) => !s.picture || isFitted(s.sight, s.picture, s.stage))
  const near = usePicture((s) => s.sight.scale)
  const list = Object.values(clips)
  const middle = (factor: number) =>
    setSight((s, picture, stage) => zoomed(s, factor, { x: stage.width / 2, y: stage.height / 2 }, picture, stage))
  return (
    <div className="clip-line">
      {list.length > 1 ? (
        <select aria-label="Clip" value={clip.id} onChange={(event) => chooseClip(event.target.value, clips)}>
          {list.map((c) => (
            <option key={c.id} value={c.id}>
              {c.name}
            </option>
          ))}
        </select>
      ) : (
        <span className="clip-name">{clip.name}</span>
      )}
      <span className="frame-steps">
        <button type="button" className="button plain" aria-label="One frame back" onClick={() => showFrame(frame - 1)}>
          ‹
        </button>
        <span>
          frame <b>{frame}</b> of {clip.frames}
        </span>
        <button type="button" className="button plain" aria-label="One frame on" onClick={() => showFrame(frame + 1)}>
          ›
        </button>
      </span>
      <span className="quiet frame-time">{time}</span>
      <span className="says" aria-hidden="true">
        {says}
      </span>
      <span className="nearness">
        <button
          type="button"
          className="button plain"
          aria-label="Wider"
          disabled={whole}
          onClick={() => middle(1 / 1.4)}
        >
          −
        </button>
        <button
          type="button"
          className="button plain"
          disabled={whole}
          onClick={showWhole}
          title="Show the whole picture"
        >
          {whole ? 'whole picture' : `${near.toFixed(1)} ×`}
        </button>
        <button type="button" className="button plain" aria-label="Closer" onClick={() => middle(1.4)}>
          +
        </button>
      </span>
    </div>
  )
}

/** Another clip becomes the current one; a run of another clip is put down, and the first frame that matters comes up. */
export function chooseClip(clipId: string, clips: Readonly<Record<string, Clip>>): void {
  setSession({ clipId, frame: clips[clipId]?.trim?.first ?? 0, runId: null, selected: null })
}
