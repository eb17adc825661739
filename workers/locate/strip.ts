import { displayedSize, storedPixel, type FrameSource } from './frame-source.ts'
import { lineLength_px, pointAt, type LaneLine } from './lane-line.ts'

/** The pixels of a band beside a lane's line, laid out column by column along the lane. Cells hold picture pixels
 *  untouched (never interpolated), and each cell knows where its pixel's centre lies. */
export interface Strip {
  readonly line: LaneLine
  readonly columns: number
  readonly rows: number
  /** Row whose cells lie nearest to the line. */
  readonly lineRow: number
  /** Index of the cell's pixel in a luma plane of the stride it was laid for; −1 outside the picture. */
  readonly source: Int32Array
  readonly stride: number
  /** Pixel centre of each cell in the displayed picture, px. */
  readonly x: Float32Array
  readonly y: Float32Array
  /** Arc length of the line at each column, px. */
  readonly arc: Float64Array
  /** Columns outside the picture on the line itself are no part of the lane: first and one past the last inside. */
  readonly insideFrom: number
  readonly insideTo: number
}

type Axis = 'x' | 'y' | 'none'

/** Axis along which the line always advances by more than cos 50°, so that whole picture columns (or rows) can serve. */
function majorAxis(line: LaneLine): Axis {
  let leastX = 1
  let leastY = 1
  for (let i = 1; i < line.arc.length; i++) {
    const dx = line.x[i]! - line.x[i - 1]!
    const dy = line.y[i]! - line.y[i - 1]!
    const span = Math.hypot(dx, dy)
    leastX = Math.min(leastX, Math.abs(dx) / span)
    leastY = Math.min(leastY, Math.abs(dy) / span)
  }
  if (leastX > 0.64 && leastX >= leastY) return 'x'
  return leastY > 0.64 ? 'y' : 'none'
}

/** Arc lengths at which the band gets its columns: one for every picture column (or row) that the line crosses, or one
 *  a px where the line turns too far for either; `beyond_px` px further at both ends. */
function columnStations(line: LaneLine, axis: Axis, beyond_px: number): Float64Array {
  const from = line.arc[0]! - beyond_px
  const to = line.arc[line.arc.length - 1]! + beyond_px
  if (axis === 'none') return Float64Array.from({ length: Math.ceil(to - from) }, (_, i) => from + i + 0.5)
  const stations: number[] = []
  const start = pointAt(line, from)
  const forward = Math.sign(axis === 'x' ? start.tx : start.ty)
  let s = from
  for (;;) {
    const p = pointAt(line, s)
    const at = axis === 'x' ? p.x : p.y
    // Next pixel centre ahead; two corrections settle it across a bend of the line.
    const centre = (forward > 0 ? Math.floor(at) : Math.ceil(at) - 1) + 0.5
    for (let turn = 0; turn < 3; turn++) {
      const q = pointAt(line, s)
      s += axis === 'x' ? (centre - q.x) / q.tx : (centre - q.y) / q.ty
    }
    if (s > to) break
    if (s >= from) stations.push(s)
    const q = pointAt(line, s)
    s += 1 / Math.abs(axis === 'x' ? q.tx : q.ty)
  }
  return Float64Array.from(stations)
}

/** Lays a band of `above_px` over to `below_px` under the line (along its normal), `beyond_px` past its ends. */
export function layStrip(
  line: LaneLine,
  above_px: number,
  below_px: number,
  beyond_px: number,
  frame: Pick<FrameSource, 'storedWidth' | 'storedHeight' | 'rotation'>,
  stride: number,
): Strip {
  const size = displayedSize(frame)
  const axis = majorAxis(line)
  const middle = pointAt(line, line.arc[0]! + lineLength_px(line) / 2)
  // A column of picture pixels crosses an inclined band on a longer way than its normal does.
  const lean = axis === 'x' ? Math.abs(middle.tx) : axis === 'y' ? Math.abs(middle.ty) : 1
  const up = Math.ceil(above_px / lean)
  const down = Math.ceil(below_px / lean)
  const rows = up + down + 1
  const arc = columnStations(line, axis, beyond_px)
  const columns = arc.length
  const source = new Int32Array(columns * rows)
  const x = new Float32Array(columns * rows)
  const y = new Float32Array(columns * rows)
  const upright = frame.rotation === 0
  let insideFrom = columns
  let insideTo = 0
  for (let c = 0; c < columns; c++) {
    const p = pointAt(line, arc[c]!)
    if (p.x >= 0 && p.x < size.width && p.y >= 0 && p.y < size.height) {
      insideFrom = Math.min(insideFrom, c)
      insideTo = c + 1
    }
    // Down the band means along the normal (−ty, tx), on whichever picture axis serves.
    const stepX = axis === 'x' ? 0 : axis === 'y' ? -Math.sign(p.ty) : -p.ty
    const stepY = axis === 'x' ? Math.sign(p.tx) : axis === 'y' ? 0 : p.tx
    for (let k = 0; k < rows; k++) {
      const column = Math.floor(p.x + (k - up) * stepX)
      const row = Math.floor(p.y + (k - up) * stepY)
      const cell = c * rows + k
      x[cell] = column + 0.5
      y[cell] = row + 0.5
      if (column < 0 || row < 0 || column >= size.width || row >= size.height) source[cell] = -1
      else {
        const stored = upright
          ? undefined
          : storedPixel(frame.rotation, frame.storedWidth, frame.storedHeight, column, row)
        source[cell] = stored ? stored.row * stride + stored.column : row * stride + column
      }
    }
  }
  return { line, columns, rows, lineRow: up, source, stride, x, y, arc, insideFrom, insideTo }
}

/** Column (fractional) whose arc length is s. */
export function columnAt(strip: Strip, s: number): number {
  const { arc, columns } = strip
  let low = 0
  let high = Math.max(0, columns - 2)
  while (low < high) {
    const mid = (low + high + 1) >> 1
    if (arc[mid]! <= s) low = mid
    else high = mid - 1
  }
  if (columns < 2) return 0
  return low + (s - arc[low]!) / (arc[low + 1]! - arc[low]!)
}

/** Arc length at a column (fractional): the inverse of `columnAt`. */
export function arcAt({ arc, columns }: Strip, column: number): number {
  const i = Math.max(0, Math.min(columns - 2, Math.floor(column)))
  return arc[i]! + (column - i) * (arc[i + 1]! - arc[i]!)
}
