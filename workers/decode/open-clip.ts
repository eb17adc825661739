import type { Refusal } from './clip-facts.ts'
import { openAlien } from './open-alien.ts'
import { openContainer } from './open-container.ts'
import { openGif } from './open-gif.ts'
import { openStills } from './open-stills.ts'
import type { OpenContext, OpenResult } from './opened-clip.ts'
import { sniff, sniffLength } from './sniff.ts'

/** Containers that the JavaScript reader takes apart; all others are left to ffmpeg. */
const readable = new Set(['MP4', 'QuickTime', 'Matroska', 'WebM', 'MPEG-TS'])

/** Opens a clip: one file, or numbered stills. Whatever is wrong with it comes back as a value. */
export async function openClip(files: readonly File[], context: OpenContext): Promise<OpenResult> {
  try {
    return await open(files, context)
  } catch (error) {
    if (context.signal.aborted) return { kind: 'cancelled' }
    return { kind: 'unreadable', name: files[0]?.name ?? '', cause: causeOf(error) }
  }
}

async function open(files: readonly File[], context: OpenContext): Promise<OpenResult> {
  const file = files[0]
  if (file === undefined) return { kind: 'empty-file', name: '' }
  context.onProgress({ step: 'reading', fraction: null })
  const empty = files.find((candidate) => candidate.size === 0)
  if (empty !== undefined) return { kind: 'empty-file', name: empty.name }
  const head = new Uint8Array(await file.slice(0, sniffLength).arrayBuffer())
  context.signal.throwIfAborted()
  const kind = sniff(head)
  if (files.length > 1) return kind.kind === 'still' ? await openStills(files, context) : severalNoStills(file)
  switch (kind.kind) {
    case 'still':
      return await openStills(files, context)
    case 'gif':
      return await openGif(file, context)
    case 'container':
      if (!readable.has(kind.container)) return await openAlien(file, kind.container, context)
      if (context.reader === 'forgiving') return await openAlien(file, kind.container, context, 'damaged')
      return await openContainer(file, kind.container, context)
    case 'other':
      if (!kind.worthTrying) return { kind: 'not-a-video', name: file.name, looksLike: kind.looksLike }
      return await openAlien(file, null, context)
  }
}

const severalNoStills = (file: File): Refusal => ({
  kind: 'not-a-video',
  name: file.name,
  looksLike: 'no PNG or JPEG still',
})

function causeOf(error: unknown): string {
  if (error instanceof DOMException && error.name === 'NotReadableError')
    return 'the file has changed or moved since it was chosen'
  return error instanceof Error ? error.message : String(error)
}
