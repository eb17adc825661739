import { buildClip, type ClipPlan } from './clip-builder.ts'
import { ffmpegIndex } from './ffmpeg-index.ts'
import { FfmpegSource } from './ffmpeg-source.ts'
import { FfmpegThread, ffmpegIncluded } from './ffmpeg-thread.ts'
import type { OpenContext, OpenResult } from './opened-clip.ts'
import { decoderReason, describeDamage, withoutFfmpeg } from './sentences.ts'

/** Opens what browsers do not: containers (or bytes of no known kind, `container` null) that ffmpeg may know.
 *  `damaged` when a container of a usual kind could not be read in the usual way. */
export async function openAlien(
  file: File,
  container: string | null,
  context: OpenContext,
  state: 'sound' | 'damaged' = 'sound',
): Promise<OpenResult> {
  const { name, size: size_bytes } = file
  const shown = container ?? 'unknown'
  if (!ffmpegIncluded && state === 'damaged') return { kind: 'damaged-no-index', name, container: shown, size_bytes }
  if (!ffmpegIncluded) return { kind: 'no-decoder', name, codec: shown, tried: ['the browser', withoutFfmpeg] }
  const thread = new FfmpegThread()
  try {
    const result = await openByFfmpeg(thread, file, container, context)
    if (result.kind !== 'open') thread.close()
    return result
  } catch (error) {
    thread.close()
    throw error
  }

  async function openByFfmpeg(
    thread: FfmpegThread,
    file: File,
    container: string | null,
    context: OpenContext,
  ): Promise<OpenResult> {
    context.onProgress({ step: 'loading-decoder', fraction: null })
    await thread.ready(context.signal, (fraction) => context.onProgress({ step: 'loading-decoder', fraction }))
    const found = await ffmpegIndex(thread, file, shown, context.signal, (fraction) =>
      context.onProgress({ step: 'indexing', fraction }),
    )
    switch (found.kind) {
      case 'no-index':
        return { kind: 'damaged-no-index', name, container: shown, size_bytes }
      case 'no-video-track':
        return { kind: 'no-video-track', name, container: shown }
      case 'unknown-format':
        if (container === null) return { kind: 'not-a-video', name, looksLike: 'bytes of no format known here' }
        return { kind: 'damaged-no-index', name, container, size_bytes }
      case 'no-frames':
        return { kind: 'no-frames', name, codec: found.codec }
      case 'no-decoder':
        return { kind: 'no-decoder', name, codec: found.codec, tried: ['the browser', 'ffmpeg'] }
      case 'index':
    }
    const { index, stream, seekable, intraOnly, codec } = found
    const plan: ClipPlan = {
      name,
      files: [file],
      container: shown,
      codec,
      index,
      rotation_deg: 0,
      mirrored: false,
      pixelAspect: 1,
      filmingRateTag_hz: null,
      timestampsRounded_s: 0,
      source: new FfmpegSource(thread, { file, index, seekable, intraOnly, color: stream.color, shift_s: 0 }),
      decoderReason: decoderReason(
        state === 'damaged'
          ? { kind: 'broken-structure', container: shown }
          : { kind: 'no-browser-demuxer', container: shown },
      ),
      damage: state === 'damaged' ? describeDamage({ kind: 'damaged-data', firstFrame: 0 }) : null,
      replace: null,
    }
    const built = await buildClip(plan, context)
    if (built.kind === 'no-pictures') return { kind: 'no-decoder', name, codec, tried: ['the browser', 'ffmpeg'] }
    const { clip } = built
    return {
      kind: 'open',
      clip: {
        ...clip,
        close: () => {
          clip.close()
          thread.close()
        },
      },
    }
  }
}
