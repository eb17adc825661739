import type { BandChunk } from './band-store.ts'
import { gainAt, type Gain } from './background.ts'
import { columnAt } from './strip.ts'
import { besideLine } from './lane-line.ts'
import { toneIndex } from './tone.ts'

const MOST_PIXELS = 4096
const MOST_ROWS = 256

/** Pixels near one side of an outline, row by row, in coordinates along and across the lane from the assumed centre, with what they and the empty
 *  lane show on the scale of `Tone`. One set is allocated per task and filled again for each ball and frame. */
export interface EdgePixels {
  readonly along: Float64Array
  readonly across: Float64Array
  readonly value: Float64Array
  readonly empty: Float64Array
  /** Grey levels per unit of `value`: brings an error back to grey levels, in which all pixels are equally sure. */
  readonly toGrey: Float64Array
  readonly rowStart: Int32Array
  rowCount: number
  readonly work: {
    readonly weight: Float64Array
    readonly alpha: Float64Array
    readonly reach: Float64Array
    readonly slope: Float64Array
    readonly error: Float64Array
    readonly scratch: Float64Array
    /** A fit's own copy of what each pixel gives, and of what the pixels of one row within reach yield. */
    readonly given: Float64Array
    readonly near: Float64Array
    readonly towardX: Float64Array
    readonly towardY: Float64Array
    readonly level: Float64Array
    readonly tilt: Float64Array
    /** Variance of level and tilt at unit noise. */
    readonly levelLoose: Float64Array
    readonly tiltLoose: Float64Array
    readonly rowInfo: Float64Array
    readonly rowPush: Float64Array
    /** Information of the row were its brightness known, and |inside − background| at its outline. */
    readonly rowKnown: Float64Array
    readonly rowContrast: Float64Array
  }
}

export function makeEdgePixels(): EdgePixels {
  const pixels = (): Float64Array => new Float64Array(MOST_PIXELS)
  const rows = (): Float64Array => new Float64Array(MOST_ROWS)
  return {
    along: pixels(),
    across: pixels(),
    value: pixels(),
    empty: pixels(),
    toGrey: pixels(),
    rowStart: new Int32Array(MOST_ROWS + 1),
    rowCount: 0,
    work: {
      weight: pixels(),
      alpha: pixels(),
      reach: pixels(),
      slope: pixels(),
      error: pixels(),
      scratch: new Float64Array(2 * MOST_PIXELS),
      given: new Float64Array(6 * MOST_PIXELS),
      near: new Float64Array(8 * MOST_PIXELS),
      towardX: pixels(),
      towardY: pixels(),
      level: rows(),
      tilt: rows(),
      levelLoose: rows(),
      tiltLoose: rows(),
      rowInfo: rows(),
      rowPush: rows(),
      rowKnown: rows(),
      rowContrast: rows(),
    },
  }
}

/** One frame of a lane's band with the empty lane beside it. */
export interface BandFrame {
  readonly chunk: BandChunk
  /** Frame within the chunk. */
  readonly frame: number
  readonly level: Float32Array
  readonly gain: Gain | undefined
}

/** A circle on the lane: arc length of its centre, height of the centre over the line along the normal (positive on the
 *  normal's side, that is below a line that runs to the right), radius, all px. */
export interface LaneCircle {
  readonly s: number
  readonly across: number
  readonly radius: number
}

export type Side = -1 | 1

/** Fills `out` with the pixels within 3.2 px (plus `slack`) of one side of the circle, in every `every`-th row of the band from `from` to `to` radii
 *  across from its centre. */
export function collectSide(
  band: BandFrame,
  circle: LaneCircle,
  side: Side,
  from: number,
  to: number,
  slack: number,
  out: EdgePixels,
  every = 1,
): void {
  const { chunk, level, gain } = band
  const { strip, scale, tone } = chunk
  const { rows, columns, x, y } = strip
  const ball = besideLine(strip.line, circle.s, circle.across)
  const centreColumn = Math.max(0, Math.min(columns - 2, Math.round(columnAt(strip, circle.s))))
  out.rowCount = 0
  out.rowStart[0] = 0
  const window = chunk.window(band.frame, centreColumn)
  if (!window) return
  const { data, base } = window
  const middle = centreColumn * rows + strip.lineRow
  const stepAlong = (x[middle + rows]! - x[middle]!) * ball.tx + (y[middle + rows]! - y[middle]!) * ball.ty
  const reach = 3.2 + slack
  const factor = gain ? scale / gainAt(gain, band.frame, centreColumn, columns) : scale
  const { source } = strip
  const { tx, ty } = ball
  const nearest = circle.radius > reach ? (circle.radius - reach) ** 2 : 0
  const farthest = (circle.radius + reach) ** 2
  let n = 0
  for (let k = 0; k < rows; k += every) {
    const cell = centreColumn * rows + k
    const ex = x[cell]! - ball.x
    const ey = y[cell]! - ball.y
    const acrossHere = -ex * ball.ty + ey * ball.tx
    if (acrossHere < from * circle.radius || acrossHere > to * circle.radius) continue
    const half = Math.sqrt(Math.max(0, circle.radius ** 2 - acrossHere ** 2))
    if (half < 1) continue
    const alongHere = ex * ball.tx + ey * ball.ty
    const crossing = centreColumn + (side * half - alongHere) / stepAlong
    const extent = (reach * circle.radius) / half / Math.abs(stepAlong) + 1
    let first = Math.ceil(crossing - extent)
    let last = Math.floor(crossing + extent)
    // The far side of the ball belongs to the other fit.
    const centre = centreColumn - alongHere / stepAlong
    if (side * stepAlong > 0) first = Math.max(first, Math.ceil(centre))
    else last = Math.min(last, Math.floor(centre))
    first = Math.max(window.from, first)
    last = Math.min(window.to - 1, last)
    const start = n
    for (let c = first; c <= last && n < MOST_PIXELS; c++) {
      const at = c * rows + k
      if (source[at]! < 0) continue
      const px = x[at]! - ball.x
      const py = y[at]! - ball.y
      const off = px * px + py * py
      if (off < nearest || off > farthest) continue
      const along = px * tx + py * ty
      const across = -px * ty + py * tx
      out.along[n] = along
      out.across[n] = across
      const seen = toneIndex(data[base + at]! * factor)
      out.value[n] = tone.value[seen]!
      out.toGrey[n] = tone.slope[seen]!
      out.empty[n] = tone.value[toneIndex(level[at]!)]!
      n++
    }
    if (n > start && out.rowCount < MOST_ROWS) {
      out.rowStart[out.rowCount] = start
      out.rowCount++
    }
  }
  out.rowStart[out.rowCount] = n
}
