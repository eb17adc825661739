import { holdBuffer, releaseBuffer } from './buffer-pool.ts'
import type { ClipFacts } from './clip-facts.ts'
import type { ClipPictures } from './clip-pictures.ts'
import type { FrameSource, LumaOutcome } from './frame-source.ts'
import { lumaOf } from './planes.ts'

/** Answers whose memory stays untouched, counting back from the last. */
const answersKept = 8

/** The brightness of a clip's frames, for the code that looks for balls. */
export class ClipFrames implements FrameSource {
  readonly frames: number
  readonly width: number
  readonly height: number
  readonly rotation_deg: 0 | 90 | 180 | 270
  readonly mirrored: boolean
  readonly #pictures: ClipPictures
  /** Memory of the last answers, in order. */
  readonly #lent: ArrayBuffer[] = []

  constructor(facts: ClipFacts, pictures: ClipPictures) {
    this.frames = facts.frames
    this.width = facts.codedWidth_px
    this.height = facts.codedHeight_px
    this.rotation_deg = facts.rotation_deg
    this.mirrored = facts.mirrored
    this.#pictures = pictures
  }

  async luma(frame: number, signal?: AbortSignal): Promise<LumaOutcome> {
    const outcome = await this.#pictures.get(frame, signal)
    if (outcome.kind === 'missing-frame') return { kind: 'missing-frame', frame }
    this.#lend(outcome.planes.buffer)
    return { kind: 'luma', frame, luma: lumaOf(outcome.planes), doubtful: outcome.planes.doubtful }
  }

  /** Ends the hold on the memory of the last answers. */
  close(): void {
    for (const buffer of this.#lent.splice(0)) releaseBuffer(buffer)
  }

  #lend(buffer: ArrayBuffer): void {
    holdBuffer(buffer)
    this.#lent.push(buffer)
    if (this.#lent.length <= answersKept) return
    const oldest = this.#lent.shift()
    if (oldest !== undefined) releaseBuffer(oldest)
  }
}
