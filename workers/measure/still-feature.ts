import * as maths from '../elementary/maths.ts'
import { noiseOf } from './luma-noise.ts'
import { type LumaPatch, lumaAt } from './luma-patch.ts'
import { solveLeastSquares } from './least-squares-small.ts'

export type FeatureShift =
  | {
      readonly kind: 'shift'
      /** How far the feature went from the reference to now [px]. */
      readonly dx: number
      readonly dy: number
      /** Standard uncertainty of the worse direction [px]. */
      readonly u_px: number
    }
  /** Too little contrast in one direction at least: a wall, or a straight edge along which it could slide. */
  | { readonly kind: 'no-contrast' }
  | { readonly kind: 'lost' }

/**
 * How far a still feature went between two pictures: the shift, gain and offset of brightness that make `now` look like `reference`, by Gauss–Newton
 * on every pixel of the reference that stays inside. `guess`: where to start [px].
 * Source: Lucas & Kanade, "An iterative image registration technique", 1981, with gain and offset free.
 */
export function featureShift(
  referencePatch: LumaPatch,
  nowPatch: LumaPatch,
  guess: { readonly dx: number; readonly dy: number } = { dx: 0, dy: 0 },
): FeatureShift {
  // Noise is less between pixels than on them, which would draw the shift to half pixels: both pictures are smoothed first.
  const reference = smoothed(referencePatch)
  const now = smoothed(nowPatch)
  if (!holds(reference, noiseOf(referencePatch))) return { kind: 'no-contrast' }
  let { dx, dy } = guess
  let gain = 1
  let offset = 0
  for (let pass = 0; pass < 40; pass++) {
    const rows: number[] = []
    const right: number[] = []
    for (let j = 1; j < reference.height - 1; j++)
      for (let i = 1; i < reference.width - 1; i++) {
        const x = reference.x0 + i + 0.5
        const y = reference.y0 + j + 0.5
        const here = lumaAt(now, x + dx, y + dy)
        const [l, r] = [lumaAt(now, x + dx - 0.5, y + dy), lumaAt(now, x + dx + 0.5, y + dy)]
        const [t, b] = [lumaAt(now, x + dx, y + dy - 0.5), lumaAt(now, x + dx, y + dy + 0.5)]
        if (here === undefined || l === undefined || r === undefined || t === undefined || b === undefined) continue
        const wanted = reference.luma[j * reference.width + i]!
        rows.push(gain * (r - l), gain * (b - t), here, 1)
        right.push(wanted - gain * here - offset)
      }
    const n = right.length
    if (n < Math.max(25, 0.3 * reference.width * reference.height)) return { kind: 'lost' }
    const design = Float64Array.from(rows)
    const change = solveLeastSquares(design.slice(), Float64Array.from(right), n, 4)
    if (!change) return { kind: 'no-contrast' }
    const [ex, ey, eg, eo] = [change[0]!, change[1]!, change[2]!, change[3]!]
    const far = maths.hypot(ex, ey)
    // A step longer than a pixel leaves where the slope of the picture means anything.
    const part = Math.min(1, 1 / far)
    dx += part * ex
    dy += part * ey
    gain += eg
    offset += eo
    if (maths.hypot(dx - guess.dx, dy - guess.dy) > Math.min(now.width, now.height)) return { kind: 'lost' }
    if (far > 1e-4) continue
    let rss = 0
    for (let k = 0; k < n; k++) {
      let rest = right[k]!
      for (let c = 0; c < 4; c++) rest -= rows[4 * k + c]! * change[c]!
      rss += rest * rest
    }
    const sigma = Math.sqrt(rss / (n - 4))
    // Part of the gradients that is noise of the smoothed picture: (1 − ρ₂)/2 of its variance, half of the residual's; ρ₂ = 28/70 two pixels apart.
    const floor = n * 0.15 * sigma ** 2
    const held = weakestDirection(design, n) - floor
    if (!(held > 2 * floor)) return { kind: 'no-contrast' }
    const u_px = (sigma * whiteAgain) / Math.sqrt(held)
    if (!(u_px < 0.5)) return { kind: 'no-contrast' }
    return gain > 0.3 && gain < 3 ? { kind: 'shift', dx, dy, u_px } : { kind: 'lost' }
  }
  return { kind: 'lost' }
}

/** Root of what the smoothing leaves of white noise's variance, inverted: the shift feels the noise's slow part, which smoothing leaves. 70/256 per direction. */
const whiteAgain = 256 / 70

/** Binomial smoothing over five pixels each way, without the border that it lacks. */
function smoothed(patch: LumaPatch): LumaPatch {
  const kernel = [1 / 16, 4 / 16, 6 / 16, 4 / 16, 1 / 16]
  const width = Math.max(0, patch.width - 4)
  const height = Math.max(0, patch.height - 4)
  const rows = new Float64Array(width * patch.height)
  for (let j = 0; j < patch.height; j++)
    for (let i = 0; i < width; i++)
      for (let k = 0; k < 5; k++)
        rows[j * width + i] = rows[j * width + i]! + kernel[k]! * patch.luma[j * patch.width + i + k]!
  const luma = new Float64Array(width * height)
  for (let j = 0; j < height; j++)
    for (let i = 0; i < width; i++)
      for (let k = 0; k < 5; k++) luma[j * width + i] = luma[j * width + i]! + kernel[k]! * rows[(j + k) * width + i]!
  return { x0: patch.x0 + 2, y0: patch.y0 + 2, width, height, luma }
}

/** Whether a smoothed patch has contrast in every direction beyond what its noise feigns. */
function holds(patch: LumaPatch, noise: number): boolean {
  const rows: number[] = []
  for (let j = 1; j < patch.height - 1; j++)
    for (let i = 1; i < patch.width - 1; i++) {
      const at = j * patch.width + i
      const gx = (patch.luma[at + 1]! - patch.luma[at - 1]!) / 2
      const gy = (patch.luma[at + patch.width]! - patch.luma[at - patch.width]!) / 2
      rows.push(gx, gy, 0, 0)
    }
  const n = rows.length / 4
  return n > 0 && weakestDirection(Float64Array.from(rows), n) > 3 * n * 0.3 * (noise / whiteAgain) ** 2
}

/** Smaller eigenvalue of Σ gradient·gradientᵀ: how firmly the worse direction is held. */
function weakestDirection(design: Float64Array, n: number): number {
  let [xx, xy, yy] = [0, 0, 0]
  for (let k = 0; k < n; k++) {
    const [gx, gy] = [design[4 * k]!, design[4 * k + 1]!]
    xx += gx * gx
    xy += gx * gy
    yy += gy * gy
  }
  return (xx + yy) / 2 - maths.hypot((xx - yy) / 2, xy)
}
