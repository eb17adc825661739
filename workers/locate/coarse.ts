import type { BandFrame, LaneCircle } from './edge-pixels.ts'
import { gainAt } from './background.ts'
import { columnAt } from './strip.ts'
import { besideLine } from './lane-line.ts'

const REACH_PX = 3

/** Shift along the lane, −reach … reach px in half-pixel steps, at which the weaker of the two sides shows the strongest
 *  step in |I − B| from outside to inside the outline; with that step. The fine fit needs it: it captures ±2 px only. */
export function coarseShift(band: BandFrame, circle: LaneCircle, reach_px: number): { shift: number; step: number } {
  const left = sideProfile(band, circle, -1, reach_px)
  const right = sideProfile(band, circle, 1, reach_px)
  let best = { shift: 0, step: -Infinity }
  for (let half = -2 * reach_px; half <= 2 * reach_px; half++) {
    const shift = half / 2
    const step = Math.min(stepAt(left, shift, -1, reach_px), stepAt(right, shift, 1, reach_px))
    if (step > best.step + 1e-9 || (step > best.step - 1e-9 && Math.abs(shift) < Math.abs(best.shift))) {
      best = { shift, step }
    }
  }
  return best
}

/** Mean |I − B|, capped, over the outline's rows at each distance along the lane from the outline, half-pixel steps. */
function sideProfile(band: BandFrame, circle: LaneCircle, side: -1 | 1, reach_px: number): Float64Array {
  const { chunk, level, gain } = band
  const { strip, scale } = chunk
  const { rows, columns, x, y } = strip
  const ball = besideLine(strip.line, circle.s, circle.across)
  const centreColumn = Math.max(0, Math.min(columns - 2, Math.round(columnAt(strip, circle.s))))
  const middle = centreColumn * rows + strip.lineRow
  const stepAlong = (x[middle + rows]! - x[middle]!) * ball.tx + (y[middle + rows]! - y[middle]!) * ball.ty
  const factor = gain ? scale / gainAt(gain, band.frame, centreColumn, columns) : scale
  const extent = reach_px + REACH_PX + 1
  const profile = new Float64Array(4 * extent + 1)
  const kept = chunk.window(band.frame, centreColumn)
  if (!kept) return profile
  const { data, base } = kept
  const count = new Float64Array(4 * extent + 1)
  for (let k = 0; k < rows; k += 2) {
    const cell = centreColumn * rows + k
    const ex = x[cell]! - ball.x
    const ey = y[cell]! - ball.y
    const across = -ex * ball.ty + ey * ball.tx
    if (across < -0.6 * circle.radius || across > 0.4 * circle.radius) continue
    const half = Math.sqrt(circle.radius ** 2 - across ** 2)
    const alongHere = ex * ball.tx + ey * ball.ty
    const crossing = centreColumn + (side * half - alongHere) / stepAlong
    const window = extent / Math.abs(stepAlong)
    const first = Math.max(kept.from, Math.ceil(crossing - window))
    const last = Math.min(kept.to - 1, Math.floor(crossing + window))
    for (let c = first; c <= last; c++) {
      const at = c * rows + k
      if (strip.source[at]! < 0) continue
      const off = (c - crossing) * stepAlong
      const difference = Math.min(40, Math.abs(data[base + at]! * factor - level[at]!))
      // Half-pixel bins between pixels are filled by linear sharing.
      const bin = 2 * (off + extent)
      const low = Math.floor(bin)
      const part = bin - low
      if (low >= 0 && low < profile.length) {
        profile[low] = profile[low]! + (1 - part) * difference
        count[low] = count[low]! + 1 - part
      }
      if (low + 1 < profile.length) {
        profile[low + 1] = profile[low + 1]! + part * difference
        count[low + 1] = count[low + 1]! + part
      }
    }
  }
  for (let i = 0; i < profile.length; i++)
    profile[i] = count[i]! > 0 ? profile[i]! / count[i]! : i > 0 ? profile[i - 1]! : 0
  return profile
}

function stepAt(profile: Float64Array, shift: number, side: -1 | 1, reach_px: number): number {
  const middle = 2 * (shift + reach_px + REACH_PX + 1)
  let inside = 0
  let outside = 0
  for (let i = 1; i <= 2 * REACH_PX; i++) {
    inside += profile[middle - side * i] ?? 0
    outside += profile[middle + side * i] ?? 0
  }
  return (inside - outside) / (2 * REACH_PX)
}
