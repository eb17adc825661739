import { takeBuffer } from './buffer-pool.ts'
import { packedLayout, type PictureColor, type Planes, type SampleFormat } from './planes.ts'

/** Frames handed out by decoders and not closed yet. Hardware decoders stall at eight or so. */
let openFrames = 0
export const countOpenFrames = (): number => openFrames

/** More open frames than any decoder run holds at once: reaching it means that somebody forgot to close. */
const openFrameLimit = 64

/** Takes charge of a frame: from here on it counts as open until `closeFrame`. */
export function adoptFrame(frame: VideoFrame): VideoFrame {
  openFrames += 1
  if (openFrames > openFrameLimit) throw new Error(`${openFrames} video frames are open at once: one was not closed`)
  return frame
}

export function closeFrame(frame: VideoFrame): void {
  openFrames -= 1
  frame.close()
}

const known = new Set<string>([
  ...['I420', 'I422', 'I444'].flatMap((chroma) => [chroma, `${chroma}P10`, `${chroma}P12`]),
  ...['NV12', 'RGBA', 'RGBX', 'BGRA', 'BGRX'],
])
const isKnown = (format: string | null): format is SampleFormat => format !== null && known.has(format)

/** Copies the visible part of an adopted frame into memory of our own and closes it, also when copying fails.
 *  Planes come out exactly as coded; a frame of unknown layout is converted to RGBA by the browser. */
export async function copyAndClose(frame: VideoFrame): Promise<Planes> {
  try {
    const width = frame.visibleRect?.width ?? frame.codedWidth
    const height = frame.visibleRect?.height ?? frame.codedHeight
    const plain = withoutAlpha(frame.format)
    const color = colorOf(frame.colorSpace)
    if (isKnown(plain) && plain === frame.format) {
      const { layout, bytes } = packedLayout(plain, width, height)
      const buffer = takeBuffer(bytes)
      await frame.copyTo(buffer, { layout })
      return { format: plain, width, height, buffer, layout, color, doubtful: false }
    }
    if (isKnown(plain)) {
      // An alpha plane follows the others; it is copied with them and then not looked at.
      const buffer = new ArrayBuffer(frame.allocationSize())
      const layout = await frame.copyTo(buffer)
      return { format: plain, width, height, buffer, layout, color, doubtful: false }
    }
    const options = { format: 'RGBA', colorSpace: 'srgb' } as const
    const buffer = new ArrayBuffer(frame.allocationSize(options))
    const layout = await frame.copyTo(buffer, options)
    return { format: 'RGBA', width, height, buffer, layout, color, doubtful: false }
  } finally {
    closeFrame(frame)
  }
}

const withoutAlpha = (format: string | null): string | null =>
  format !== null && /^I4\d\dA/.test(format) ? format.replace('A', '') : format

function colorOf(space: VideoColorSpace): PictureColor {
  return { primaries: space.primaries, transfer: space.transfer, matrix: space.matrix, fullRange: space.fullRange }
}
