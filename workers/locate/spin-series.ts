import { gainAt } from './background.ts'
import type { BandFrame, LaneCircle } from './edge-pixels.ts'
import { besideLine } from './lane-line.ts'
import { columnAt } from './strip.ts'

/** Rings and angles at which a ball's face is sampled. A ball that rolls past a camera beside the lane turns its pattern
 *  about its own centre, so polar cells follow it best. */
export const RINGS = [0.3, 0.5, 0.7] as const
export const ANGLES = 24
const SINES = Float64Array.from({ length: ANGLES }, (_, a) => Math.sin((2 * Math.PI * a) / ANGLES))
const COSINES = Float64Array.from({ length: ANGLES }, (_, a) => Math.cos((2 * Math.PI * a) / ANGLES))
export const LOOK_CELLS = RINGS.length * ANGLES

/** The ball's look, mark by mark: what turning can be read from long after the pixels are gone. */
export interface SpinSeries {
  /** `LOOK_CELLS` values a mark, luma 0 … 255; 0 where a cell lay outside the picture. */
  readonly looks: Uint8Array
  /** Way since the first mark in units of the ball's own radius: what a px scale is not needed for. */
  readonly wayInRadii: Float64Array
}

/** Samples the face of the ball at the nearest pixels. */
export function sampleLook(band: BandFrame, circle: LaneCircle): Uint8Array {
  const { chunk, gain, frame } = band
  const { strip, scale } = chunk
  const { rows, columns, x, y, source } = strip
  const look = new Uint8Array(LOOK_CELLS)
  const ball = besideLine(strip.line, circle.s, circle.across)
  const centre = columnAt(strip, circle.s)
  const window = chunk.window(frame, Math.round(centre))
  if (!window) return look
  const { data, base, from, to } = window
  const pitch = columnAt(strip, circle.s + 1) - centre
  // From one row to the next, nearly the same all along the ball; from first to last, lest whole pixels hide a lean.
  const first = Math.round(centre) * rows
  const stepX = (x[first + rows - 1]! - x[first]!) / (rows - 1)
  const stepY = (y[first + rows - 1]! - y[first]!) / (rows - 1)
  const perStep = 1 / (stepX ** 2 + stepY ** 2)
  let cell = 0
  for (const ring of RINGS) {
    for (let a = 0; a < ANGLES; a++) {
      const along = ring * circle.radius * COSINES[a]!
      const across = ring * circle.radius * SINES[a]!
      const px = ball.x + along * ball.tx - across * ball.ty
      const py = ball.y + along * ball.ty + across * ball.tx
      const c = Math.round(centre + along * pitch)
      if (c >= from && c < to) {
        const line = c * rows + strip.lineRow
        const k = strip.lineRow + Math.round(((px - x[line]!) * stepX + (py - y[line]!) * stepY) * perStep)
        const at = c * rows + k
        if (k >= 0 && k < rows && source[at]! >= 0) {
          const factor = gain ? scale / gainAt(gain, frame, c, columns) : scale
          look[cell] = Math.max(1, Math.min(255, Math.round(data[base + at]! * factor)))
        }
      }
      cell++
    }
  }
  return look
}
