import { adoptFrame, copyAndClose } from './frame-copy.ts'
import type { DecodedFrame, FrameRun, PictureSource } from './picture-source.ts'
import type { Planes } from './planes.ts'

/** Decodes the picture of a frame that needs no other; null when there is none or it is damaged. */
export type DecodeAlone = (frame: number) => Promise<Planes | null>

/** Pictures under way at once: the browser decodes stills on several threads. */
const readAhead = 4

/** Frames that each stand alone as an image: stills, motion JPEG, animated GIF. */
export class ImageSource implements PictureSource {
  readonly decoder = 'image-decoder'
  readonly readAhead = readAhead
  readonly #frames: number
  readonly #decode: DecodeAlone
  readonly #onClose: () => void

  constructor(frames: number, decode: DecodeAlone, onClose: () => void = () => undefined) {
    this.#frames = frames
    this.#decode = decode
    this.#onClose = onClose
  }

  startFor(frame: number): Promise<number> {
    return Promise.resolve(frame)
  }

  run(frame: number, keepFrom: number): Promise<FrameRun> {
    return Promise.resolve(new ImageRun(this.#frames, this.#decode, Math.max(0, Math.min(frame, keepFrom))))
  }

  fork(): PictureSource {
    return new ImageSource(this.#frames, this.#decode)
  }

  close(): void {
    this.#onClose()
  }
}

class ImageRun implements FrameRun {
  readonly first: number
  readonly #frames: number
  readonly #decode: DecodeAlone
  readonly #pending: { frame: number; planes: Promise<Planes | null> }[] = []
  #next: number
  #closed = false

  constructor(frames: number, decode: DecodeAlone, first: number) {
    this.first = first
    this.#frames = frames
    this.#decode = decode
    this.#next = first
  }

  keepFrom(_frame: number): void {
    // A run of stills begins where its pictures are wanted; skipping ahead is a new run.
  }

  async next(): Promise<DecodedFrame | 'end'> {
    for (;;) {
      while (!this.#closed && this.#pending.length < readAhead && this.#next < this.#frames) {
        const frame = this.#next++
        const planes = this.#decode(frame)
        // The reader meets a rejection when its turn comes; until then it must not count as unhandled.
        planes.catch(() => undefined)
        this.#pending.push({ frame, planes })
      }
      const head = this.#pending.shift()
      if (head === undefined) return 'end'
      const planes = await head.planes
      if (planes !== null) return { frame: head.frame, planes }
    }
  }

  close(): void {
    this.#closed = true
    this.#pending.length = 0
  }
}

/** Whether this browser can decode single images of a type away from the page. */
export async function canDecodeImages(mime: string): Promise<boolean> {
  return typeof ImageDecoder !== 'undefined' && (await ImageDecoder.isTypeSupported(mime).catch(() => false))
}

/** The picture in the bytes of one image, unturned; null when the bytes are damaged. */
export async function decodeImage(data: AllowSharedBufferSource, mime: string): Promise<Planes | null> {
  const decoder = new ImageDecoder({
    data: data as BufferSource,
    type: mime,
    colorSpaceConversion: 'none',
    preferAnimation: false,
  })
  try {
    const { image } = await decoder.decode({ frameIndex: 0, completeFramesOnly: true })
    return await copyAndClose(adoptFrame(image))
  } catch {
    return null
  } finally {
    decoder.close()
  }
}
