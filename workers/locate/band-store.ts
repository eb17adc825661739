import { rowsBetween } from './activity.ts'
import { BLOCK_COLUMNS, blocksOf, ChangeWatch } from './change-watch.ts'
import { toEightBit, type Luma } from './frame-source.ts'
import { PageCutter } from './page-pool.ts'
import { PatchPages, type Window } from './patch-pages.ts'
import { FrameChange } from './repeated-frames.ts'
import { copyColumns, copyProbes, probeCells, straightColumns, type StraightColumns } from './straight-columns.ts'
import type { Strip } from './strip.ts'
import { toneOf, type Tone } from './tone.ts'

/** What is held of one lane's band over one chunk of the clip. Of every frame: its brightness block by block, and all
 *  rows of the columns where something changed. Of some frames: everything, for the background. */
export interface BandChunk {
  readonly strip: Strip
  /** Number in the clip of the chunk's first frame. */
  readonly firstFrame: number
  readonly frames: number
  /** Factor to the 0 … 255 scale. */
  readonly scale: number
  readonly tone: Tone
  readonly probeRows: readonly number[]
  /** Every how manieth column carries probes, and how many do. */
  readonly probeStep: number
  readonly probeColumns: number
  /** The empty lane on the probe rows as the clip's first frames showed it, followed since, 0 … 255; undefined before it is known. */
  readonly firstLook: Float32Array | undefined
  /** Frame by frame, the sum of the probes of each block of `BLOCK_COLUMNS` probed columns. */
  readonly blocks: number
  readonly blockSums: Float32Array
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
  readonly straight: StraightColumns
  readonly probeRows: readonly number[]
  /** Where the probes lie in a luma plane, column after column. */
  readonly probeCells: Int32Array
  readonly probeStep: number
  readonly probeColumns: number
  /** Probes of the frame read last, and of the one before it. */
  probes: Uint8Array | Uint16Array
  before: Uint8Array | Uint16Array
  readonly blocks: number
  readonly blockSums: Float32Array
  readonly pages: PatchPages
  readonly watch: ChangeWatch
  /** Probed columns kept of the frame read last. */
  ranges: readonly (readonly [number, number])[]
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
  private readonly tone: Tone
  private readonly everySample: number
  private readonly wide: boolean
  private readonly shelf: PageCutter
  private readonly change: FrameChange
  private firstProbes: (Uint8Array | Uint16Array)[][] = []
  private sampleFrames: number[] = []
  private begun = false
  private first = 0
  private held = 0

  constructor(
    specs: readonly LaneBandSpec[],
    { bitDepth, fullRange }: Pick<Luma, 'bitDepth' | 'fullRange'>,
    budget_bytes: number,
    frameCount: number,
  ) {
    this.scale = toEightBit(bitDepth)
    this.tone = toneOf(fullRange)
    this.wide = bitDepth > 8
    this.shelf = new PageCutter(this.wide)
    this.budget = budget_bytes
    const width = this.wide ? 2 : 1
    const rows = specs.map(({ strip, radius_px }) => {
      return rowsBetween(strip, -0.6 * radius_px, 0.3 * radius_px, Math.max(1, radius_px / 6.5))
    })
    // A ball of 8 px radius or more is found as well on every other column, a larger one on every third or fourth.
    const steps = specs.map(({ radius_px }) =>
      radius_px < 8 ? 1 : Math.max(2, Math.min(4, Math.floor(radius_px / 6))),
    )
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
        straight: straightColumns(strip),
        probeRows: own,
        probeCells: probeCells(strip, probeStep, own),
        probeStep,
        probeColumns,
        probes: this.cells(probeColumns * own.length),
        before: this.cells(probeColumns * own.length),
        blocks: blocksOf(probeColumns),
        blockSums: new Float32Array(blocksOf(probeColumns) * this.capacity),
        ranges: [],
        pages: new PatchPages(strip.rows, this.wide),
        watch: new ChangeWatch(probeColumns, own.length, radius_px, perColumn * probeStep, this.scale),
        samples: [],
        spare: [],
      }
    })
    this.change = new FrameChange(
      this.capacity,
      this.lanes.reduce((sum, lane) => sum + lane.probeColumns, 0),
      this.scale,
    )
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
    for (const lane of this.lanes) this.addTo(lane, luma, sampled)
    if (!this.begun) this.firstProbes.push(this.lanes.map(({ probes }) => probes.slice()))
    this.change.add(this.held, this.lanes)
    if (sampled) this.sampleFrames.push(this.held)
    this.held++
    if (!this.begun && this.held >= FIRST_FRAMES) this.begin()
  }

  private addTo(lane: LaneBand, luma: Luma, sampled: boolean): void {
    const { strip, straight, probeStep, blocks, pages, before } = lane
    if (luma.stride !== strip.stride) {
      throw new Error(`strip laid for a stride of ${strip.stride} was given a plane of ${luma.stride}`)
    }
    lane.before = lane.probes
    lane.probes = before
    const sums = lane.blockSums.subarray(this.held * blocks, (this.held + 1) * blocks)
    copyProbes(lane.probeCells, luma.data, lane.probes, BLOCK_COLUMNS * lane.probeRows.length, sums)
    if (sampled) lane.samples.push(this.whole(lane, luma))
    pages.nextFrame()
    lane.ranges = this.begun ? lane.watch.changed(lane.probes, sums) : [[0, lane.probeColumns]]
    for (const [first, last] of lane.ranges) {
      const from = first * probeStep
      const to = Math.min(strip.columns, last * probeStep)
      const { data, start } = pages.claim(from, to)
      copyColumns(strip, straight, from, to, luma.data, data, start)
    }
  }

  private begin(): void {
    this.lanes.forEach((lane, i) => {
      const { blocks, blockSums } = lane
      const sums = this.firstProbes.map((_, frame) => blockSums.subarray(frame * blocks, (frame + 1) * blocks))
      lane.watch.begin(
        this.firstProbes.map((lanes) => lanes[i]!),
        sums,
      )
    })
    this.firstProbes = []
    this.begun = true
  }

  /** Frames (numbers in the clip) that only repeat the one before. */
  repeated(): number[] {
    return this.change.repeated(this.held).map((frame) => this.first + frame)
  }

  chunk(index: number): BandChunk {
    const lane = this.lanes[index]!
    return {
      strip: lane.strip,
      firstFrame: this.first,
      frames: this.held,
      scale: this.scale,
      tone: this.tone,
      probeRows: lane.probeRows,
      probeStep: lane.probeStep,
      probeColumns: lane.probeColumns,
      firstLook: this.begun ? lane.watch.reference : undefined,
      blocks: lane.blocks,
      blockSums: lane.blockSums,
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
      lane.blockSums.copyWithin(0, from * lane.blocks, this.held * lane.blocks)
      lane.pages.dropBefore(from)
      lane.spare.push(...lane.samples.slice(0, dropped))
      lane.samples = lane.samples.slice(dropped)
    }
    this.change.dropBefore(from, this.held)
    this.sampleFrames = this.sampleFrames.slice(dropped).map((frame) => frame - from)
    this.first += from
    this.held -= from
  }

  /** Gives the memory back to the next search; no chunk may be looked at afterwards. */
  release(): void {
    for (const lane of this.lanes) lane.pages.release()
    this.shelf.release()
  }

  private whole(lane: LaneBand, luma: Luma): Uint8Array | Uint16Array {
    const { length } = lane.strip.source
    const cells = lane.spare.pop() ?? this.shelve(length)
    copyColumns(lane.strip, lane.straight, 0, lane.strip.columns, luma.data, cells, 0)
    return cells
  }

  private shelve(length: number): Uint8Array | Uint16Array {
    const { data, start } = this.shelf.cut(length)
    return data.subarray(start, start + length)
  }

  private cells(length: number): Uint8Array | Uint16Array {
    return this.wide ? new Uint16Array(length) : new Uint8Array(length)
  }
}
