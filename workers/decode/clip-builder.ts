import type { Damage } from './clip-facts.ts'
import { ClipPictures, pictureCache, type Replace } from './clip-pictures.ts'
import type { FrameIndex } from './frame-index.ts'
import { makeFacts, type KnownFacts } from './make-facts.ts'
import type { OpenContext, OpenedClip } from './opened-clip.ts'
import { DecodeFailure, type PictureSource } from './picture-source.ts'
import type { Planes } from './planes.ts'
import { describeDamage } from './sentences.ts'

/** Frames tried from the start of a clip before it counts as one without pictures. */
const framesTried = 30
/** Frames timed to tell how long one takes on the slow ways. */
const framesTimed = 4

/** A clip under construction: decodes its first frame, so that a clip which opens also shows something. */
export type BuildResult =
  | { readonly kind: 'open'; readonly clip: OpenedClip }
  | { readonly kind: 'no-pictures'; readonly failure: DecodeFailure | null }

export type ClipPlan = Omit<KnownFacts, 'first' | 'expectedFrame_s' | 'decoder'> & {
  readonly source: PictureSource
  /** The decoder to go on with when the present one gives up, with the reason to state. */
  readonly replace:
    | ((
        failure: DecodeFailure,
        frame: number,
      ) => Promise<{ source: PictureSource; reason: string; damaged: boolean } | null>)
    | null
  readonly index: FrameIndex
}

export async function buildClip(plan: ClipPlan, context: OpenContext): Promise<BuildResult> {
  let damage: Damage | null = plan.damage
  let reason = plan.decoderReason
  let opened = false
  const setDamage = (firstFrame: number): void => {
    if (damage !== null) return
    damage = describeDamage({ kind: 'damaged-data', firstFrame })
    if (opened) context.onFacts({ damage })
  }
  const holes = plan.damage?.kind === 'missing-stills'
  const replace: Replace = async (failure, suspectFrom) => {
    const frame = suspectFrom
    const next = (await plan.replace?.(failure, frame)) ?? null
    if (next === null) return null
    reason = next.reason
    if (next.damaged) setDamage(frame)
    if (opened) context.onFacts({ decoder: next.source.decoder, decoderReason: reason })
    return next
  }
  const pictures: ClipPictures = new ClipPictures(
    plan.source,
    plan.index.frames,
    pictureCache(context.cacheBudget_bytes),
    replace,
    (frame, what) => {
      if (!(holes && what === 'missing')) setDamage(frame)
    },
  )
  try {
    context.onProgress({ step: 'first-frame', fraction: null })
    const first = await firstPicture(pictures, plan.index.frames, context.signal)
    if (first === null) {
      pictures.close()
      return { kind: 'no-pictures', failure: null }
    }
    const expectedFrame_s =
      pictures.source.decoder === 'ffmpeg' ? await timePerFrame(pictures, plan.index.frames, context.signal) : null
    const decoder = pictures.source.decoder
    const { source: _source, replace: _replace, ...known } = plan
    const facts = await makeFacts({ ...known, first, decoder, decoderReason: reason, expectedFrame_s, damage })
    context.signal.throwIfAborted()
    opened = true
    return { kind: 'open', clip: { files: plan.files, facts, pictures, close: () => pictures.close() } }
  } catch (error) {
    pictures.close()
    if (error instanceof DecodeFailure) return { kind: 'no-pictures', failure: error }
    throw error
  }
}

async function firstPicture(pictures: ClipPictures, frames: number, signal: AbortSignal): Promise<Planes | null> {
  for (let frame = 0; frame < Math.min(frames, framesTried); frame++) {
    const outcome = await pictures.get(frame, signal)
    if (outcome.kind === 'planes') return outcome.planes
  }
  return null
}

async function timePerFrame(pictures: ClipPictures, frames: number, signal: AbortSignal): Promise<number | null> {
  const count = Math.min(frames - 1, framesTimed)
  if (count < 1) return null
  const start = performance.now()
  for (let frame = 1; frame <= count; frame++) await pictures.get(frame, signal)
  return (performance.now() - start) / 1000 / count
}
