import type {
  DecodeCalls,
  DecodeEvent,
  DecodeState,
  GlanceOutcome,
  PatchOutcome,
  PictureOutcome,
} from '../bridge/decode-calls.ts'
import { frameJobs } from '../bridge/frame-jobs.ts'
import { serveCalls, Transferred } from '../bridge/serve-calls.ts'
import { ClipFrames } from './clip-frames.ts'
import { displayImage } from './display-frame.ts'
import type { FrameJob } from './frame-job.ts'
import { countOpenFrames } from './frame-copy.ts'
import { clipRect, copyPatch } from './luma-patch.ts'
import { openClip } from './open-clip.ts'
import type { OpenedClip } from './opened-clip.ts'
import { DecodeFailure } from './picture-source.ts'
import { lumaOf } from './planes.ts'
import { contentHash } from './quick-key.ts'
import { failedFrame, refusalSentence } from './sentences.ts'

/** Decoded pictures kept for stepping: 86 frames of 1080p. */
const cacheBudget_bytes = 256 * 1024 * 1024
/** Pictures kept by a job, which goes through the clip in one direction. */
const jobBudget_bytes = 48 * 1024 * 1024

const clips = new Map<number, OpenedClip>()
let current = -1

function clipOf(id: number): OpenedClip {
  const clip = clips.get(id)
  if (clip === undefined) throw new Error(`clip ${id} is not open in this thread`)
  if (id !== current) {
    // One live clip: the others give their memory and decoders back.
    clips.get(current)?.pictures.park()
    current = id
  }
  return clip
}

const notify = serveCalls<DecodeCalls, DecodeEvent>(self, {
  async open({ clip: id, files, reader }, { signal, report }) {
    const result = await openClip(files, {
      signal,
      reader,
      onProgress: report,
      onFacts: (change) => notify({ kind: 'facts', clip: id, change }),
      cacheBudget_bytes,
    })
    if (result.kind !== 'open') return { ...result, sentence: refusalSentence(result) }
    if (signal.aborted) {
      result.clip.close()
      return { kind: 'cancelled', sentence: refusalSentence({ kind: 'cancelled' }) }
    }
    clips.get(id)?.close()
    clips.set(id, result.clip)
    clipOf(id)
    return { kind: 'open', facts: result.clip.facts }
  },

  close({ clip: id }) {
    clips.get(id)?.close()
    clips.delete(id)
    return Promise.resolve(null)
  },

  async picture({ clip: id, frame }, { signal }): Promise<PictureOutcome | Transferred<PictureOutcome>> {
    const { pictures, facts } = clipOf(id)
    try {
      const outcome = await pictures.get(frame, signal)
      if (outcome.kind === 'missing-frame') return { kind: 'missing-frame', frame }
      const { planes } = outcome
      const time_s = facts.timescale_hz > 0 ? (facts.ticks[frame] ?? 0) / facts.timescale_hz : frame
      const image = await displayImage(planes, Math.round(time_s * 1e6))
      return new Transferred({ kind: 'picture', frame, image, doubtful: planes.doubtful }, [image])
    } catch (error) {
      if (error instanceof DecodeFailure)
        return { kind: 'failed', frame, sentence: failedFrame(facts.name, frame, error.message) }
      throw error
    }
  },

  async glance({ clip: id, frame, width_px }): Promise<GlanceOutcome | Transferred<GlanceOutcome>> {
    const { pictures } = clipOf(id)
    const found = await pictures.glance(frame).catch(() => null)
    if (found === null) return { kind: 'missing-frame', frame }
    const whole = await displayImage(found.planes, 0)
    const scale = Math.min(1, width_px / found.planes.width)
    const image = await createImageBitmap(whole, {
      resizeWidth: Math.max(1, Math.round(found.planes.width * scale)),
      resizeHeight: Math.max(1, Math.round(found.planes.height * scale)),
    })
    whole.close()
    return new Transferred({ kind: 'glance', frame: found.frame, image }, [image])
  },

  async lumaPatch({ clip: id, frame, rect }, { signal }): Promise<PatchOutcome | Transferred<PatchOutcome>> {
    const { pictures, facts } = clipOf(id)
    const inside = clipRect(rect, facts.codedWidth_px, facts.codedHeight_px)
    if (inside === null) return { kind: 'outside', frame }
    const outcome = await pictures.get(frame, signal)
    if (outcome.kind === 'missing-frame') return { kind: 'missing-frame', frame }
    const luma = copyPatch(lumaOf(outcome.planes), inside)
    const { doubtful } = outcome.planes
    return new Transferred({ kind: 'patch', frame, rect: inside, luma, doubtful }, [luma.data.buffer as ArrayBuffer])
  },

  async contentHash({ clip: id }, { signal, report }) {
    const { files } = openedOf(id)
    return await contentHash(files, signal, (fraction) => report({ fraction }))
  },

  async job({ clip: id, name, params }, { signal, report }) {
    const { pictures, facts } = openedOf(id)
    const job = (frameJobs as Record<string, FrameJob<unknown, unknown, unknown> | undefined>)[name]
    if (job === undefined) throw new Error(`there is no job “${name}”`)
    // A way of its own to the frames, so that the job and whoever steps through the clip do not pull at one decoder.
    const own = pictures.fork(jobBudget_bytes)
    const frames = new ClipFrames(facts, own)
    try {
      return await job(frames, params, { signal, report })
    } finally {
      frames.close()
      own.close()
    }
  },

  state(): Promise<DecodeState> {
    let cached_bytes = 0
    for (const clip of clips.values()) cached_bytes += clip.pictures.cachedBytes
    return Promise.resolve({
      openFrames: countOpenFrames(),
      cached_bytes,
      crossOriginIsolated: self.crossOriginIsolated,
    })
  },
})

/** A clip by number, without making it the live one: background work must not park what is on the screen. */
function openedOf(id: number): OpenedClip {
  const clip = clips.get(id)
  if (clip === undefined) throw new Error(`clip ${id} is not open in this thread`)
  return clip
}
