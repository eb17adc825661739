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
  reference: LumaPatch,
  now: LumaPatch,
  guess: { readonly dx: number; readonly dy: number } = { dx: 0, dy: 0 },
): FeatureShift {
  let { dx, dy } = guess
  let gain = 1
  let offset = 0
  let u_px = Infinity
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
    const far = Math.hypot(ex, ey)
    // A step longer than a pixel leaves where the slope of the picture means anything.
    const part = Math.min(1, 1 / far)
    dx += part * ex
    dy += part * ey
    gain += eg
    offset += eo
    if (Math.hypot(dx - guess.dx, dy - guess.dy) > Math.min(now.width, now.height)) return { kind: 'lost' }
    if (far > 1e-4) continue
    let rss = 0
    for (let k = 0; k < n; k++) {
      let rest = right[k]!
      for (let c = 0; c < 4; c++) rest -= rows[4 * k + c]! * change[c]!
      rss += rest * rest
    }
    const contrast = weakestDirection(design, n)
    const sigma = Math.sqrt(rss / (n - 4))
    if (!(contrast > 0)) return { kind: 'no-contrast' }
    u_px = sigma / contrast
    if (!(u_px < 0.5)) return { kind: 'no-contrast' }
    return gain > 0.3 && gain < 3 ? { kind: 'shift', dx, dy, u_px } : { kind: 'lost' }
  }
  return { kind: 'lost' }
}

/** Root of the smaller eigenvalue of Σ gradient·gradientᵀ: how firmly the worse direction is held. */
function weakestDirection(design: Float64Array, n: number): number {
  let [xx, xy, yy] = [0, 0, 0]
  for (let k = 0; k < n; k++) {
    const [gx, gy] = [design[4 * k]!, design[4 * k + 1]!]
    xx += gx * gx
    xy += gx * gy
    yy += gy * gy
  }
  return Math.sqrt(Math.max(0, (xx + yy) / 2 - Math.hypot((xx - yy) / 2, xy)))
}
