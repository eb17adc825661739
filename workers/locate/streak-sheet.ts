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
  /** Index in the luma plane of the band's pixels, row after row of the band; −1 outside the picture. */
  readonly cells: Int32Array
  /** Pixels of each column that lie in the picture. */
  readonly inside: Uint16Array
  readonly rows: number
  readonly columns: number
  /** Mean luma, time cell after time cell. */
  readonly value: Uint8Array
  /** Room for the sums of one frame, column by column. */
  readonly sum: Uint32Array
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
    const first = Int32Array.from({ length: width }, (_, i) =>
      Math.max(0, Math.floor(Math.min(columnEdge[i]!, columnEdge[i + 1]!))),
    )
    const last = Int32Array.from({ length: width }, (_, i) =>
      Math.min(sheet.columns, Math.max(first[i]! + 1, Math.ceil(Math.max(columnEdge[i]!, columnEdge[i + 1]!)))),
    )
    let framesRead = 0
    for (let f = Math.max(0, request.fromFrame); f < Math.min(this.seen.length, request.toFrame); f++)
      framesRead += this.seen[f]!
    const span = (request.toFrame - request.fromFrame) / height
    for (let row = 0; row < height; row++) {
      const times = this.cellsSeen(
        (request.fromFrame + row * span) / this.framesPerCell,
        (request.fromFrame + (row + 1) * span) / this.framesPerCell,
      )
      if (times.length > 0) drawRow(sheet, times, first, last, value.subarray(row * width, (row + 1) * width))
    }
    return { ...request, value, framesRead }
  }

  /** Time cells between two times (in cells, at least one) of which a frame has been read. */
  private cellsSeen(from: number, to: number): number[] {
    const first = Math.max(0, Math.floor(from))
    const last = Math.min(Math.ceil(this.seen.length / this.framesPerCell), Math.max(first + 1, Math.ceil(to)))
    const cells: number[] = []
    for (let t = first; t < last; t++) if (this.cellSeen(t)) cells.push(t)
    return cells
  }

  private cellSeen(cell: number): boolean {
    for (let f = cell * this.framesPerCell; f < Math.min(this.seen.length, (cell + 1) * this.framesPerCell); f++) {
      if (this.seen[f] === 1) return true
    }
    return false
  }

  private addTo(sheet: LaneSheet, cell: number, luma: Luma): void {
    const { cells, rows, columns, strip, sum, inside } = sheet
    const { data } = luma
    sum.fill(0)
    // Row after row of the band: so the plane is read along its own rows, where the lane lies flat.
    for (let k = 0, at = 0; k < rows; k++) {
      for (let c = 0; c < strip.columns; c++) {
        const from = cells[at++]!
        if (from >= 0) sum[c] = sum[c]! + data[from]!
      }
    }
    const base = cell * columns
    const { columnsPerCell, scale, inCell } = this
    for (let into = 0, c = 0; into < columns; into++) {
      let total = 0
      let count = 0
      for (const end = Math.min(strip.columns, c + columnsPerCell); c < end; c++) {
        total += sum[c]!
        count += inside[c]!
      }
      if (count === 0) continue
      const mean = (total * scale) / count
      const before = sheet.value[base + into]!
      sheet.value[base + into] = Math.round(before + (mean - before) / (inCell + 1))
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
      const cells = Int32Array.from({ length: own.length * strip.columns }, (_, i) => {
        return strip.source[(i % strip.columns) * strip.rows + own[Math.floor(i / strip.columns)]!]!
      })
      const inside = Uint16Array.from({ length: strip.columns }, (_, c) => {
        return own.reduce((count, _row, k) => count + (cells[k * strip.columns + c]! >= 0 ? 1 : 0), 0)
      })
      return {
        strip,
        cells,
        inside,
        rows: own.length,
        columns,
        value: new Uint8Array(columns * times),
        sum: new Uint32Array(strip.columns),
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

/** One row of a tile: of the cells at these times and from `first` to `last` columns, the one that differs most from the empty lane. */
function drawRow(
  { value, background, columns }: LaneSheet,
  times: readonly number[],
  first: Int32Array,
  last: Int32Array,
  out: Uint8Array,
): void {
  for (let i = 0; i < out.length; i++) {
    const to = last[i]!
    let best = 0
    let size = -1
    for (const t of times) {
      const base = t * columns
      for (let c = first[i]!; c < to; c++) {
        const difference = value[base + c]! - background[c]!
        const here = difference < 0 ? -difference : difference
        if (here > size) {
          size = here
          best = difference
        }
      }
    }
    if (size >= 0) out[i] = Math.max(1, Math.min(255, Math.round(128 + DISPLAY_GAIN * best)))
  }
}
