import { buildClip } from './clip-builder.ts'
import { adoptFrame, copyAndClose } from './frame-copy.ts'
import { indexOfTicks } from './frame-index.ts'
import { readGif } from './gif.ts'
import { canDecodeImages, ImageSource } from './image-source.ts'
import { openAlien } from './open-alien.ts'
import type { OpenContext, OpenResult } from './opened-clip.ts'
import { decoderReason, describeDamage } from './sentences.ts'

/** Opens an animated GIF: times from its own blocks, pictures from the browser. */
export async function openGif(file: File, context: OpenContext): Promise<OpenResult> {
  const bytes = new Uint8Array(await file.arrayBuffer())
  const times = readGif(bytes)
  if (times === null || times.delays_cs.length === 0) return { kind: 'no-frames', name: file.name, codec: 'GIF' }
  if (!(await canDecodeImages('image/gif'))) return await openAlien(file, 'GIF', context)
  const ticks = new Float64Array(times.delays_cs.length)
  for (let frame = 1; frame < ticks.length; frame++)
    ticks[frame] = (ticks[frame - 1] ?? 0) + (times.delays_cs[frame - 1] ?? 0)
  const decoder = new ImageDecoder({
    data: bytes,
    type: 'image/gif',
    colorSpaceConversion: 'none',
    preferAnimation: true,
  })
  const source = new ImageSource(
    ticks.length,
    async (frame) => {
      const decoded = await decoder.decode({ frameIndex: frame, completeFramesOnly: true }).catch(() => null)
      return decoded === null ? null : await copyAndClose(adoptFrame(decoded.image))
    },
    () => decoder.close(),
  )
  const built = await buildClip(
    {
      name: file.name,
      files: [file],
      container: 'GIF',
      codec: 'GIF',
      index: indexOfTicks(ticks, 100),
      rotation_deg: 0,
      mirrored: false,
      pixelAspect: 1,
      filmingRateTag_hz: null,
      timestampsRounded_s: 0.01,
      source,
      decoderReason: decoderReason({ kind: 'images', what: 'GIF' }),
      damage: times.complete ? null : describeDamage({ kind: 'damaged-data', firstFrame: ticks.length - 1 }),
      replace: null,
    },
    context,
  )
  return built.kind === 'open' ? built : { kind: 'no-frames', name: file.name, codec: 'GIF' }
}
