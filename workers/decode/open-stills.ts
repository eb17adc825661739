import { buildClip } from './clip-builder.ts'
import { codecName } from './codec-names.ts'
import { indexOfTicks } from './frame-index.ts'
import { canDecodeImages, decodeImage, ImageSource } from './image-source.ts'
import type { OpenContext, OpenResult } from './opened-clip.ts'
import { decoderReason, describeDamage } from './sentences.ts'
import { sniff, sniffLength } from './sniff.ts'
import { stillSequence } from './still-sequence.ts'

/** Opens numbered stills. They carry no time: each is one tick, and the timescale is 0. */
export async function openStills(files: readonly File[], context: OpenContext): Promise<OpenResult> {
  const order = stillSequence(files)
  if (order.kind === 'unnumbered' && files.length > 1) return { kind: 'stills-unnumbered', name: order.name }
  const slots = order.kind === 'sequence' ? order.files : files
  const missing = order.kind === 'sequence' ? order.missing : []
  const first = slots.find((slot) => slot !== null) ?? null
  if (first === null) return { kind: 'stills-unnumbered', name: files[0]?.name ?? '' }
  const mime = await stillType(first)
  if (mime === null) return { kind: 'not-a-video', name: first.name, looksLike: 'no PNG or JPEG still' }
  const codec = codecName(mime.slice('image/'.length)) === 'motion JPEG' ? 'JPEG' : 'PNG'
  if (!(await canDecodeImages(mime))) return { kind: 'no-decoder', name: first.name, codec, tried: ['the browser'] }
  let expected: { width: number; height: number } | null = null
  const source = new ImageSource(slots.length, async (frame) => {
    const file = slots[frame] ?? null
    if (file === null) return null
    const type = (await stillType(file)) ?? mime
    const planes = await decodeImage(await file.arrayBuffer(), type)
    expected ??= planes
    // A picture of another size belongs to another recording; it counts as missing.
    return planes !== null && planes.width === expected?.width && planes.height === expected.height ? planes : null
  })
  const built = await buildClip(
    {
      name: order.kind === 'sequence' && files.length > 1 ? order.pattern : first.name,
      files: slots.filter((slot) => slot !== null),
      container: 'numbered stills',
      codec,
      index: indexOfTicks(
        Float64Array.from(slots, (_, i) => i),
        0,
      ),
      rotation_deg: 0,
      mirrored: false,
      pixelAspect: 1,
      filmingRateTag_hz: null,
      timestampsRounded_s: 0,
      source,
      decoderReason: decoderReason({ kind: 'images', what: 'stills' }),
      damage: missing.length > 0 ? describeDamage({ kind: 'missing-stills', missing }) : null,
      replace: null,
    },
    context,
  )
  return built.kind === 'open' ? built : { kind: 'no-frames', name: first.name, codec }
}

async function stillType(file: File): Promise<string | null> {
  const kind = sniff(new Uint8Array(await file.slice(0, sniffLength).arrayBuffer()))
  return kind.kind === 'still' ? kind.mime : null
}
