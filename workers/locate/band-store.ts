import { gatherStrip, type Strip } from './strip.ts'
import { toEightBit, type Luma } from './frame-source.ts'

/** Frames of one lane's band, held for one chunk of the clip. */
export interface BandChunk {
  readonly strip: Strip
  /** Number in the clip of the chunk's first frame. */
  readonly firstFrame: number
  readonly frames: number
  /** Frame by frame, each laid out as the strip is. */
  readonly data: Uint8Array | Uint16Array
  /** Factor to the 0 … 255 scale. */
  readonly scale: number
}

/** Collects the bands of all lanes over a chunk of frames whose total size stays within a budget of bytes. */
export class BandStore {
  readonly strips: readonly Strip[]
  readonly capacity: number
  private readonly buffers: (Uint8Array | Uint16Array)[] = []
  private readonly scale: number
  private first = 0
  private held = 0

  constructor(strips: readonly Strip[], bitDepth: number, budget_bytes: number, frameCount: number) {
    this.strips = strips
    this.scale = toEightBit(bitDepth)
    const width = bitDepth > 8 ? 2 : 1
    const perFrame = strips.reduce((sum, strip) => sum + strip.source.length, 0) * width
    // Fewer than 64 frames would not hold a passage long enough to learn from.
    this.capacity = Math.min(frameCount, Math.max(64, Math.floor(budget_bytes / Math.max(1, perFrame))))
    for (const strip of strips) {
      const size = strip.source.length * this.capacity
      this.buffers.push(width === 2 ? new Uint16Array(size) : new Uint8Array(size))
    }
  }

  get frames(): number {
    return this.held
  }

  get full(): boolean {
    return this.held >= this.capacity
  }

  add(frame: number, luma: Luma): void {
    if (this.full) throw new Error('band store is full')
    if (this.held === 0) this.first = frame
    if (frame !== this.first + this.held)
      throw new Error(`frame ${frame} does not follow ${this.first + this.held - 1}`)
    this.strips.forEach((strip, lane) => gatherStrip(strip, luma, this.buffers[lane]!, this.held * strip.source.length))
    this.held++
  }

  chunk(lane: number): BandChunk {
    return {
      strip: this.strips[lane]!,
      firstFrame: this.first,
      frames: this.held,
      data: this.buffers[lane]!,
      scale: this.scale,
    }
  }

  /** Forgets all but the last `keep` frames, which become the first of the next chunk. */
  clear(keep = 0): void {
    const from = Math.max(0, this.held - keep)
    this.strips.forEach((strip, lane) => {
      const size = strip.source.length
      this.buffers[lane]!.copyWithin(0, from * size, this.held * size)
    })
    this.first += from
    this.held -= from
  }
}
