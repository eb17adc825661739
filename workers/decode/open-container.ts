import { ALL_FORMATS, EncodedPacketSink, Input, type InputVideoTrack, type MetadataTags } from 'mediabunny'
import type { Damage } from './clip-facts.ts'
import { buildClip, type ClipPlan } from './clip-builder.ts'
import { codecName, isIntraOnly } from './codec-names.ts'
import { listFrames, usableIndex } from './container-index.ts'
import { FfmpegSource } from './ffmpeg-source.ts'
import { FfmpegThread, ffmpegIncluded } from './ffmpeg-thread.ts'
import type { FrameIndex } from './frame-index.ts'
import { GuardedSource } from './guarded-source.ts'
import { canDecodeImages, decodeImage, ImageSource } from './image-source.ts'
import { openAlien } from './open-alien.ts'
import type { OpenContext, OpenResult } from './opened-clip.ts'
import type { DecodeFailure, PictureSource } from './picture-source.ts'
import { unknownColor } from './planes.ts'
import { ProresSource, registerProres } from './prores-source.ts'
import { filmingRate_hz, filmingRateTagName } from './rate-tag.ts'
import { namesTooMany } from './sample-tables.ts'
import { decoderReason, describeDamage, withoutFfmpeg, type DecoderWhy } from './sentences.ts'
import { decodableConfig, WebCodecsSource } from './webcodecs-source.ts'

/** Codecs by which QuickTime and others name motion JPEG. */
const motionJpeg = new Set(['jpeg', 'mjpg', 'mjpa', 'avdj', 'V_MJPEG'])

/** Containers whose tables of frames are checked first. */
const isobmff = new Set(['MP4', 'QuickTime'])

/** Opens MP4, QuickTime, Matroska, WebM and MPEG transport streams. */
export async function openContainer(file: File, container: string, context: OpenContext): Promise<OpenResult> {
  if (isobmff.has(container) && (await namesTooMany(file))) return await openAlien(file, container, context, 'damaged')
  const source = new GuardedSource(file)
  const input = new Input({ source, formats: ALL_FORMATS })
  const { name, size: size_bytes } = file
  let track: InputVideoTrack | null
  try {
    track = await input.getPrimaryVideoTrack()
    if (track === null) {
      const tracks = await input.getTracks()
      input.dispose()
      if (tracks.length > 0) return { kind: 'no-video-track', name, container }
      return { kind: 'damaged-no-index', name, container, size_bytes }
    }
  } catch {
    // The reader cannot make sense of the file; ffmpeg forgives more.
    input.dispose()
    context.signal.throwIfAborted()
    return await openAlien(file, container, context, 'damaged')
  }
  try {
    const result = await openTrack(file, container, input, track, source, context)
    if (result.kind !== 'open') input.dispose()
    return result
  } catch (error) {
    input.dispose()
    if (context.signal.aborted || error instanceof DOMException) throw error
    return await openAlien(file, container, context, 'damaged')
  }
}

async function openTrack(
  file: File,
  container: string,
  input: Input,
  track: InputVideoTrack,
  source: GuardedSource,
  context: OpenContext,
): Promise<OpenResult> {
  const codecId = (await track.getCodec()) ?? (await internalId(track))
  const codec = codecName(codecId)
  const expected = Math.max(1, ((await track.getDurationFromMetadata()) ?? 0) * 240)
  const listed = await listFrames(track, context.signal, (count) =>
    context.onProgress({ step: 'indexing', fraction: Math.min(0.99, count / expected) }),
  )
  const index = await usableIndex(track, listed)
  context.signal.throwIfAborted()
  if (listed.frames === 0) return { kind: 'no-frames', name: file.name, codec }
  if (index.frames === 0) return { kind: 'damaged-no-index', name: file.name, container, size_bytes: file.size }
  const thread = new FfmpegThread()
  const choice = await chooseSource(track, index, codecId, thread, file, codec, context)
  if (choice === null) {
    thread.close()
    const tried = ['the browser', ffmpegIncluded ? 'ffmpeg' : withoutFfmpeg]
    return { kind: 'no-decoder', name: file.name, codec, tried }
  }
  const pixel = await track.getPixelAspectRatio()
  const tags: MetadataTags = await input.getMetadataTags().catch(() => ({}))
  const matroska = container === 'Matroska' || container === 'WebM'
  const plan: ClipPlan = {
    name: file.name,
    files: [file],
    container,
    codec,
    index,
    rotation_deg: await track.getRotation(),
    mirrored: await track.getFlip(),
    pixelAspect: pixel.num / pixel.den,
    filmingRateTag_hz: filmingRate_hz(tags.raw?.[filmingRateTagName]),
    timestampsRounded_s: matroska ? 1 / index.timescale_hz : 0,
    source: choice.source,
    decoderReason: decoderReason(choice.why),
    damage: damageOf(listed, index, source.circled),
    replace: async (failure, frame) => {
      if (isReclaimed(failure) && choice.again !== null) {
        return { source: choice.again(), reason: decoderReason(choice.why), damaged: false }
      }
      if (choice.source.decoder === 'ffmpeg' || !ffmpegIncluded) return null
      await thread.ready(context.signal, () => undefined)
      const source = ffmpegSource(thread, file, index, codecId)
      return { source, reason: decoderReason({ kind: 'browser-gave-up', frame }), damaged: true }
    },
  }
  const built = await buildClip(plan, context)
  if (built.kind === 'no-pictures') {
    thread.close()
    const tried = ['the browser', ffmpegIncluded ? 'ffmpeg' : withoutFfmpeg]
    if (choice.source.decoder === 'ffmpeg') return { kind: 'no-decoder', name: file.name, codec, tried }
    return { kind: 'no-frames', name: file.name, codec }
  }
  const { clip } = built
  const close = (): void => {
    clip.close()
    thread.close()
    input.dispose()
  }
  return { kind: 'open', clip: { ...clip, close } }
}

function damageOf(listed: FrameIndex, index: FrameIndex, circled: boolean): Damage | null {
  if (index.frames < listed.frames)
    return describeDamage({ kind: 'cut-off', indexed: listed.frames, usable: index.frames })
  if (circled) return describeDamage({ kind: 'damaged-end', usable: index.frames })
  return listed.contradicted > 0 ? describeDamage({ kind: 'damaged-times', packets: listed.contradicted }) : null
}

interface Choice {
  readonly source: PictureSource
  readonly why: DecoderWhy
  /** The same decoder anew, after the browser has taken it away. */
  readonly again: (() => PictureSource) | null
}

async function chooseSource(
  track: InputVideoTrack,
  index: FrameIndex,
  codecId: string,
  thread: FfmpegThread,
  file: File,
  codec: string,
  context: OpenContext,
): Promise<Choice | null> {
  if (codecId === 'prores') {
    registerProres()
    return {
      source: new ProresSource(track, index),
      why: { kind: 'prores' },
      again: () => new ProresSource(track, index),
    }
  }
  if (motionJpeg.has(codecId) && (await canDecodeImages('image/jpeg'))) {
    return { source: packetImages(track, index), why: { kind: 'images', what: 'motion JPEG' }, again: null }
  }
  const config = await decodableConfig(track)
  if (config !== null) {
    const make = (): PictureSource => new WebCodecsSource(track, index, config)
    return { source: make(), why: { kind: 'browser' }, again: make }
  }
  if (!ffmpegIncluded) return null
  context.onProgress({ step: 'loading-decoder', fraction: null })
  await thread.ready(context.signal, (fraction) => context.onProgress({ step: 'loading-decoder', fraction }))
  return { source: ffmpegSource(thread, file, index, codecId), why: { kind: 'no-browser-decoder', codec }, again: null }
}

function ffmpegSource(thread: FfmpegThread, file: File, index: FrameIndex, codecId: string): PictureSource {
  const intraOnly = motionJpeg.has(codecId) || isIntraOnly(codecId)
  return new FfmpegSource(thread, { file, index, seekable: true, intraOnly, color: unknownColor, shift_s: 0 })
}

function packetImages(track: InputVideoTrack, index: FrameIndex): PictureSource {
  const sink = new EncodedPacketSink(track)
  return new ImageSource(index.frames, async (frame) => {
    const packet = await sink.getPacket(index.times_s[frame] ?? 0)
    return packet === null ? null : await decodeImage(packet.data, 'image/jpeg')
  })
}

async function internalId(track: InputVideoTrack): Promise<string> {
  const id = await track.getInternalCodecId()
  if (id instanceof Uint8Array) return new TextDecoder('latin1').decode(id)
  return id === null ? 'an unknown codec' : String(id)
}

/** The browser takes decoders away from pages in the background, and a decoder may fall silent: both are no damage. */
function isReclaimed(failure: DecodeFailure): boolean {
  return failure.cause instanceof DOMException && failure.cause.name === 'QuotaExceededError'
}
