import { rowsBetween } from './activity.ts'
import { ChangeWatch } from './change-watch.ts'
import { toEightBit, type Luma } from './frame-source.ts'
import { PatchPages, type Window } from './patch-pages.ts'
import type { Strip } from './strip.ts'

/** What is held of one lane's band over one chunk of the clip. Of every frame: a few probe rows, and all rows of the
 *  columns where something changed. Of some frames: everything, for the background. */
export interface BandChunk {
  readonly strip: Strip
  /** Number in the clip of the chunk's first frame. */
  readonly firstFrame: number
  readonly frames: number
  /** Factor to the 0 … 255 scale. */
  readonly scale: number
  readonly probeRows: readonly number[]
  /** Every how manieth column carries probes, and how many do. */
  readonly probeStep: number
  readonly probeColumns: number
  /** Frame by frame, probed column by column, the probe rows. */
  readonly probes: Uint8Array | Uint16Array
  /** Frames (within the chunk) held whole, and their cells laid out as the strip is. */
  readonly sampleFrames: readonly number[]
  readonly samples: readonly (Uint8Array | Uint16Array)[]
  /** All rows of the columns around one column, where they were kept. */
  readonly window: (frame: number, column: number) => Window | undefined
  /** Everything kept of a frame: elsewhere it shows the empty lane. */
  readonly windows: (frame: number) => readonly Window[]
}

interface LaneBand {
  readonly strip: Strip
  readonly probeRows: readonly number[]
  readonly probeStep: number
  readonly probeColumns: number
  readonly probeSource: Int32Array
  readonly probes: Uint8Array | Uint16Array
  readonly pages: PatchPages
  readonly watch: ChangeWatch
  samples: (Uint8Array | Uint16Array)[]
  spare: (Uint8Array | Uint16Array)[]
}

export interface LaneBandSpec {
  readonly strip: Strip
  readonly radius_px: number
}

/** Frames held whole at the start, until the empty lane is known well enough to tell what changes. */
const FIRST_FRAMES = 24
/** About so many frames of a chunk are held whole. */
const SAMPLES = 40

/** Collects the bands of all lanes over a chunk of frames within a budget of bytes. */
export class BandStore {
  readonly capacity: number
  private readonly lanes: readonly LaneBand[]
  private readonly budget: number
  private readonly scale: number
  private readonly everySample: number
  private readonly wide: boolean
  private sampleFrames: number[] = []
  private begun = false
  private first = 0
  private held = 0

  constructor(specs: readonly LaneBandSpec[], bitDepth: number, budget_bytes: number, frameCount: number) {
    this.scale = toEightBit(bitDepth)
    this.wide = bitDepth > 8
    this.budget = budget_bytes
    const width = this.wide ? 2 : 1
    const rows = specs.map(({ strip, radius_px }) => {
      return rowsBetween(strip, -0.6 * radius_px, 0.3 * radius_px, Math.max(1, radius_px / 6.5))
    })
    // A ball of 8 px radius or more is found as well on every other column.
    const steps = specs.map(({ radius_px }) => (radius_px >= 8 ? 2 : 1))
    const perFrame = specs.reduce((sum, { strip }, i) => sum + (strip.columns / steps[i]!) * rows[i]!.length, 0) * width
    // Fewer than 64 frames would not hold a passage long enough to learn from.
    this.capacity = Math.min(frameCount, Math.max(64, Math.floor((0.4 * budget_bytes) / Math.max(1, perFrame))))
    this.everySample = Math.max(2, Math.floor(this.capacity / SAMPLES))
    this.lanes = specs.map(({ strip, radius_px }, i): LaneBand => {
      const own = rows[i]!
      const perColumn = Math.abs(strip.arc[strip.columns - 1]! - strip.arc[0]!) / Math.max(1, strip.columns - 1)
      const probeStep = steps[i]!
      const probeColumns = Math.ceil(strip.columns / probeStep)
      return {
        strip,
        probeRows: own,
        probeStep,
        probeColumns,
        probeSource: Int32Array.from({ length: probeColumns * own.length }, (_, at) => {
          // A cell outside the picture reads the plane's first pixel: constant enough not to look like change.
          return Math.max(
            0,
            strip.source[Math.floor(at / own.length) * probeStep * strip.rows + own[at % own.length]!]!,
          )
        }),
        probes: this.cells(probeColumns * own.length * this.capacity),
        pages: new PatchPages(strip.rows, this.wide),
        watch: new ChangeWatch(probeColumns, own.length, radius_px / perColumn / probeStep, this.scale),
        samples: [],
        spare: [],
      }
    })
  }

  get frames(): number {
    return this.held
  }

  get full(): boolean {
    if (this.held >= this.capacity) return true
    return this.held >= 64 && this.lanes.reduce((sum, lane) => sum + lane.pages.bytes, 0) > 0.4 * this.budget
  }

  add(frame: number, luma: Luma): void {
    if (this.full) throw new Error('band store is full')
    if (this.held === 0) this.first = frame
    if (frame !== this.first + this.held)
      throw new Error(`frame ${frame} does not follow ${this.first + this.held - 1}`)
    const sampled = frame % this.everySample === 0
    for (const lane of this.lanes) {
      if (luma.stride !== lane.strip.stride) {
        throw new Error(`strip laid for a stride of ${lane.strip.stride} was given a plane of ${luma.stride}`)
      }
      const { probeSource, probes } = lane
      const offset = this.held * probeSource.length
      gather(probeSource, luma.data, probes, offset, 0, probeSource.length)
      if (sampled) lane.samples.push(this.whole(lane, luma))
      lane.pages.nextFrame()
      if (this.begun) {
        for (const [first, last] of lane.watch.changed(probes, offset)) {
          const from = first * lane.probeStep
          const to = Math.min(lane.strip.columns, last * lane.probeStep)
          const { rows, source } = lane.strip
          const { data, start } = lane.pages.claim(from, to)
          gather(source, luma.data, data, start, from * rows, to * rows)
        }
      } else {
        const { data, start } = lane.pages.claim(0, lane.strip.columns)
        gather(lane.strip.source, luma.data, data, start, 0, lane.strip.source.length)
      }
    }
    if (sampled) this.sampleFrames.push(this.held)
    this.held++
    if (!this.begun && this.held >= FIRST_FRAMES) {
      for (const lane of this.lanes) lane.watch.begin(lane.probes, this.held)
      this.begun = true
    }
  }

  chunk(index: number): BandChunk {
    const lane = this.lanes[index]!
    return {
      strip: lane.strip,
      firstFrame: this.first,
      frames: this.held,
      scale: this.scale,
      probeRows: lane.probeRows,
      probeStep: lane.probeStep,
      probeColumns: lane.probeColumns,
      probes: lane.probes,
      sampleFrames: this.sampleFrames,
      samples: lane.samples,
      window: (frame, column) => lane.pages.window(frame, column),
      windows: (frame) => lane.pages.windows(frame),
    }
  }

  /** Forgets all but the last `keep` frames, which become the first of the next chunk. */
  clear(keep = 0): void {
    const from = Math.max(0, this.held - keep)
    const kept = this.sampleFrames.findIndex((frame) => frame >= from)
    const dropped = kept < 0 ? this.sampleFrames.length : kept
    for (const lane of this.lanes) {
      const size = lane.probeSource.length
      lane.probes.copyWithin(0, from * size, this.held * size)
      lane.pages.dropBefore(from)
      lane.spare.push(...lane.samples.slice(0, dropped))
      lane.samples = lane.samples.slice(dropped)
    }
    this.sampleFrames = this.sampleFrames.slice(dropped).map((frame) => frame - from)
    this.first += from
    this.held -= from
  }

  private whole(lane: LaneBand, luma: Luma): Uint8Array | Uint16Array {
    const cells = lane.spare.pop() ?? this.cells(lane.strip.source.length)
    gather(lane.strip.source, luma.data, cells, 0, 0, lane.strip.source.length)
    return cells
  }

  private cells(length: number): Uint8Array | Uint16Array {
    return this.wide ? new Uint16Array(length) : new Uint8Array(length)
  }
}

/** Copies the pixels of cells from … to into `out` from `offset`; cells outside the picture become 0. */
function gather(
  source: Int32Array,
  data: Uint8Array | Uint16Array,
  out: Uint8Array | Uint16Array,
  offset: number,
  from: number,
  to: number,
): void {
  for (let i = from; i < to; i++) {
    const at = source[i]!
    out[offset + i - from] = at < 0 ? 0 : data[at]!
  }
}
