import { rowsBetween } from './activity.ts'
import { toEightBit, type FrameSource, type Luma } from './frame-source.ts'
import type { LaneLine } from './lane-line.ts'
import { quickselect } from './robust.ts'
import { columnAt, layStrip, type Strip } from './strip.ts'

/** A piece of a lane's streak sheet as wanted on the screen. */
export interface TileRequest {
  readonly fromFrame: number
  /** One past the last frame. */
  readonly toFrame: number
  /** Arc lengths along the lane's line, px. */
  readonly fromArc: number
  readonly toArc: number
  /** Pixels of the tile: along the lane, and in time. */
  readonly width: number
  readonly height: number
}

export interface SheetTile extends TileRequest {
  /** Row after row (time downward, lane to the right): 128 where nothing differs from the empty lane, darker and lighter
   *  where the ball is so; 0 where no frame has been read yet. */
  readonly value: Uint8Array
  /** Frames of this range read so far. */
  readonly framesRead: number
}

interface LaneSheet {
  readonly strip: Strip
  readonly cells: Int32Array
  readonly rows: number
  readonly columns: number
  /** Mean luma, time cell after time cell. */
  readonly value: Uint8Array
  readonly sum: Float64Array
  background: Float32Array
  backgroundFrom: number
}

const BUDGET_BYTES = 32 * 2 ** 20
/** Grey levels of difference are shown twice as strong. */
const DISPLAY_GAIN = 2

/** Streak sheets of all lanes of a clip: mean luma of a band along each lane, frame by frame, built while the clip
 *  decodes. Size is fixed at the start by a budget in bytes: where a clip is too long for it, neighbouring columns, then
 *  neighbouring frames share a cell. */
export class StreakSheets {
  private readonly lanes: readonly LaneLine[]
  private readonly source: Pick<FrameSource, 'storedWidth' | 'storedHeight' | 'rotation' | 'frameCount'>
  private readonly budget: number
  private sheets: LaneSheet[] | undefined
  private columnsPerCell = 1
  private framesPerCell = 1
  private scale = 1
  private inCell = 0
  private readonly seen: Uint8Array
  private count = 0

  constructor(
    source: Pick<FrameSource, 'storedWidth' | 'storedHeight' | 'rotation' | 'frameCount'>,
    lanes: readonly LaneLine[],
    budget_bytes: number = BUDGET_BYTES,
  ) {
    this.source = source
    this.lanes = lanes
    this.budget = budget_bytes
    this.seen = new Uint8Array(source.frameCount)
  }

  get framesRead(): number {
    return this.count
  }

  /** Bytes held for all lanes. */
  get bytes(): number {
    return (this.sheets ?? []).reduce((sum, sheet) => sum + sheet.value.length, 0)
  }

  /** Takes one frame in; any order, each frame once (a second time is ignored). */
  add(frame: number, luma: Luma): void {
    if (frame < 0 || frame >= this.seen.length || this.seen[frame] === 1) return
    this.sheets ??= this.open(luma)
    const cell = Math.floor(frame / this.framesPerCell)
    this.inCell = 0
    for (let f = cell * this.framesPerCell; f < Math.min(this.seen.length, (cell + 1) * this.framesPerCell); f++) {
      this.inCell += this.seen[f]!
    }
    for (const sheet of this.sheets) this.addTo(sheet, cell, luma)
    this.seen[frame] = 1
    this.count++
  }

  /** Renders a piece of one lane's sheet; each pixel shows the strongest difference that falls into it, so that thin
   *  streaks stay visible from afar. Undefined for an unknown lane or before the first frame. */
  tile(lane: string, request: TileRequest): SheetTile | undefined {
    const sheet = this.sheets?.[this.lanes.findIndex((line) => line.id === lane)]
    if (!sheet) return undefined
    this.refreshBackground(sheet)
    const { width, height } = request
    const value = new Uint8Array(width * height)
    const columnEdge = Float64Array.from({ length: width + 1 }, (_, i) => {
      const arc = request.fromArc + ((request.toArc - request.fromArc) * i) / width
      return (columnAt(sheet.strip, arc) + 0.5) / this.columnsPerCell
    })
    let framesRead = 0
    for (let f = Math.max(0, request.fromFrame); f < Math.min(this.seen.length, request.toFrame); f++)
      framesRead += this.seen[f]!
    for (let row = 0; row < height; row++) {
      const span = (request.toFrame - request.fromFrame) / height
      const first = (request.fromFrame + row * span) / this.framesPerCell
      const last = (request.fromFrame + (row + 1) * span) / this.framesPerCell
      for (let column = 0; column < width; column++) {
        value[row * width + column] = this.strongest(sheet, first, last, columnEdge[column]!, columnEdge[column + 1]!)
      }
    }
    return { ...request, value, framesRead }
  }

  private strongest(sheet: LaneSheet, fromTime: number, toTime: number, fromColumn: number, toColumn: number): number {
    const t0 = Math.max(0, Math.floor(fromTime))
    const t1 = Math.max(t0 + 1, Math.ceil(toTime))
    const c0 = Math.max(0, Math.floor(Math.min(fromColumn, toColumn)))
    const c1 = Math.min(sheet.columns, Math.max(c0 + 1, Math.ceil(Math.max(fromColumn, toColumn))))
    const times = Math.ceil(this.seen.length / this.framesPerCell)
    let best = 0
    let any = false
    for (let t = t0; t < Math.min(times, t1); t++) {
      if (!this.cellSeen(t)) continue
      for (let c = c0; c < c1; c++) {
        any = true
        const difference = sheet.value[t * sheet.columns + c]! - sheet.background[c]!
        if (Math.abs(difference) > Math.abs(best)) best = difference
      }
    }
    return any ? Math.max(1, Math.min(255, Math.round(128 + DISPLAY_GAIN * best))) : 0
  }

  private cellSeen(cell: number): boolean {
    for (let f = cell * this.framesPerCell; f < Math.min(this.seen.length, (cell + 1) * this.framesPerCell); f++) {
      if (this.seen[f] === 1) return true
    }
    return false
  }

  private addTo(sheet: LaneSheet, cell: number, luma: Luma): void {
    const { cells, rows, columns, strip, sum } = sheet
    sum.fill(0)
    const taken = new Float64Array(columns)
    for (let c = 0; c < strip.columns; c++) {
      let total = 0
      let count = 0
      for (let k = 0; k < rows; k++) {
        const at = strip.source[cells[c * rows + k]!]!
        if (at < 0) continue
        total += luma.data[at]!
        count++
      }
      if (count === 0) continue
      const into = Math.floor(c / this.columnsPerCell)
      sum[into] = sum[into]! + (total * this.scale) / count
      taken[into] = taken[into]! + 1
    }
    const base = cell * columns
    for (let c = 0; c < columns; c++) {
      if (taken[c] === 0) continue
      const mean = sum[c]! / taken[c]!
      const before = sheet.value[base + c]!
      sheet.value[base + c] = Math.round(before + (mean - before) / (this.inCell + 1))
    }
  }

  private open(luma: Luma): LaneSheet[] {
    this.scale = toEightBit(luma.bitDepth)
    const strips = this.lanes.map((line) => {
      const radius = line.radius_px ?? 10
      return layStrip(line, 0.7 * radius + 1, 0.4 * radius + 1, 0, this.source, luma.stride)
    })
    const size = (): number => {
      const times = Math.ceil(this.seen.length / this.framesPerCell)
      return strips.reduce((sum, strip) => sum + Math.ceil(strip.columns / this.columnsPerCell) * times, 0)
    }
    while (size() > this.budget) {
      if (this.columnsPerCell < 2) this.columnsPerCell *= 2
      else if (this.framesPerCell < 2 * this.columnsPerCell) this.framesPerCell *= 2
      else this.columnsPerCell *= 2
    }
    const times = Math.ceil(this.seen.length / this.framesPerCell)
    return strips.map((strip, lane) => {
      const radius = this.lanes[lane]!.radius_px ?? 10
      const own = rowsBetween(strip, -0.6 * radius, 0.3 * radius, Math.max(1, radius / 8))
      const columns = Math.ceil(strip.columns / this.columnsPerCell)
      const cells = Int32Array.from({ length: strip.columns * own.length }, (_, i) => {
        return Math.floor(i / own.length) * strip.rows + own[i % own.length]!
      })
      return {
        strip,
        cells,
        rows: own.length,
        columns,
        value: new Uint8Array(columns * times),
        sum: new Float64Array(columns),
        background: new Float32Array(columns),
        backgroundFrom: 0,
      }
    })
  }

  /** Column medians over at most 63 of the cells read; renewed when a quarter more has been read. */
  private refreshBackground(sheet: LaneSheet): void {
    if (this.count < 1.25 * sheet.backgroundFrom && this.count > 0 && sheet.backgroundFrom > 0) {
      if (this.count < this.seen.length || sheet.backgroundFrom === this.count) return
    }
    const cells: number[] = []
    const times = Math.ceil(this.seen.length / this.framesPerCell)
    for (let t = 0; t < times; t++) if (this.cellSeen(t)) cells.push(t)
    const taken = Math.min(63, cells.length)
    const values = new Float32Array(taken)
    for (let c = 0; c < sheet.columns; c++) {
      for (let i = 0; i < taken; i++) {
        values[i] = sheet.value[cells[Math.floor(((i + 0.5) * cells.length) / taken)]! * sheet.columns + c]!
      }
      if (taken > 0) sheet.background[c] = quickselect(values, taken, (taken - 1) >> 1)
    }
    sheet.backgroundFrom = this.count
  }
}
