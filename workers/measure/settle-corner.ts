import * as maths from '../elementary/maths.ts'
import type { Px } from '../record/index.ts'
import { lineSort, profileStep_px, profilesAcross } from './line-profile.ts'
import { type LumaPatch, lumaAt } from './luma-patch.ts'
import { noiseOf } from './luma-noise.ts'
import { readString } from './string-line.ts'

export type CornerReading =
  | {
      readonly kind: 'corner'
      readonly at: Px
      /** Standard uncertainty of each coordinate [px]. */
      readonly u_px: number
      /** A crossing of two edges (a chequered mark, a drawn cross), or two sides brought to their meeting point. */
      readonly by: 'crossing' | 'sides'
    }
  | { readonly kind: 'corner-not-seen' }

/** Below this no reading is trusted: compression and background move the finest mark by about so much [px] (common practice, no source). */
export const leastSettled_px = 0.05
/** Light, shadow and compression of a chequered card move its crossing by about so much [px] (common practice, no source; seen on rendered clips). */
const settledCrossing_px = 0.1
const reach_px = 8
/** Radius of the window in which a crossing's edges are gathered [px]. */
const window_px = 7
/** Sides are read from here on [px]: nearer the corner, blur rounds them. */
const rounded_px = 5
const longestSide_px = 90

/**
 * Puts a placed point on the corner that is near it. `towards`: the neighbouring corners, along whose sides the edges run; without them only a
 * crossing can be found.
 */
export function settleCorner(patch: LumaPatch, at: Px, towards: readonly Px[]): CornerReading {
  const crossing = crossingNear(patch, at)
  if (crossing) return crossing
  const [p, q] = towards
  const sides = p && q ? meeting(patch, at, p, q) : undefined
  return sides ?? { kind: 'corner-not-seen' }
}

/** From a grid of starts within reach, the crossing whose edges are strongest: a small card's own outline makes weaker ones beside it. */
function crossingNear(patch: LumaPatch, placed: Px): CornerReading | undefined {
  let best: { at: Px; strength: number } | undefined
  for (let j = -2; j <= 2; j++)
    for (let i = -2; i <= 2; i++) {
      const found = crossingFrom(patch, { x: placed.x + 3 * i, y: placed.y + 3 * j })
      if (!found || maths.hypot(found.at.x - placed.x, found.at.y - placed.y) > reach_px) continue
      if (!best || found.strength > best.strength) best = found
    }
  if (!best) return undefined
  const u_px = maths.hypot(settledCrossing_px, noiseShare(patch, best.at) / best.strength)
  return { kind: 'corner', at: best.at, u_px, by: 'crossing' }
}

/**
 * The point that the tangents of all edges in a window pass through: Σ w·g·gᵀ·(x − p) = 0, g the gradient at x. `strength`: how firmly its worse
 * direction is held.
 * Source: Förstner & Gülch, "A fast operator for detection and precise location of distinct points, corners and centres of circular features", 1987.
 */
function crossingFrom(patch: LumaPatch, start: Px): { readonly at: Px; readonly strength: number } | undefined {
  let p = start
  for (let pass = 0; pass < 25; pass++) {
    const sums = gathered(patch, p)
    if (!sums) return undefined
    const { xx, xy, yy, bx, by, count } = sums
    const det = xx * yy - xy * xy
    const weak = (xx + yy) / 2 - maths.hypot((xx - yy) / 2, xy)
    // Edges of two directions, and standing clear of noise: one grey level per pixel in the weaker direction.
    if (!(weak > count * 1) || !(weak > 0.05 * (xx + yy))) return undefined
    const next = { x: (yy * bx - xy * by) / det, y: (xx * by - xy * bx) / det }
    if (!(maths.hypot(next.x - start.x, next.y - start.y) <= reach_px)) return undefined
    const moved = maths.hypot(next.x - p.x, next.y - p.y)
    p = { x: p.x + 0.8 * (next.x - p.x), y: p.y + 0.8 * (next.y - p.y) }
    if (moved > 0.004) continue
    // Four changes or more around it: edges run through it. Two: it is the end of two sides, which blur draws inward.
    return turnsAround(patch, p) >= 4 && isEven(patch, p) ? { at: p, strength: weak } : undefined
  }
  return undefined
}

function gathered(patch: LumaPatch, p: Px) {
  let [xx, xy, yy, bx, by, count] = [0, 0, 0, 0, 0, 0]
  for (const { x, y, gx, gy, w } of windowAround(patch, p)) {
    if (!(w > 0)) return undefined
    xx += w * gx * gx
    xy += w * gx * gy
    yy += w * gy * gy
    bx += w * (gx * gx * x + gx * gy * y)
    by += w * (gx * gy * x + gy * gy * y)
    count += w
  }
  return { xx, xy, yy, bx, by, count }
}

/** Root of Σ (w·|g|·σ·|x − p|)²: what the noise of the gradients, σ, does to the right side of the equations. */
function noiseShare(patch: LumaPatch, p: Px): number {
  // 0.48: white noise through the gradient's weights, √(2·(3² + 10² + 3²))/32. 4: neighbours share pixels.
  const sigma2 = 4 * (0.48 * noiseOf(patch)) ** 2
  let sum = 0
  for (const { x, y, gx, gy, w } of windowAround(patch, p))
    sum += w * w * (gx * gx + gy * gy) * sigma2 * ((x - p.x) ** 2 + (y - p.y) ** 2)
  return Math.sqrt(sum / 2)
}

/** Pixels within the window about a place, their gradients and weights; weight 0 where the patch ends. */
function windowAround(patch: LumaPatch, p: Px) {
  const seen: { x: number; y: number; gx: number; gy: number; w: number }[] = []
  const [column, row] = [Math.floor(p.x), Math.floor(p.y)]
  for (let j = -window_px; j <= window_px; j++)
    for (let i = -window_px; i <= window_px; i++) {
      const x = column + i + 0.5
      const y = row + j + 0.5
      const far2 = (x - p.x) ** 2 + (y - p.y) ** 2
      if (far2 > window_px ** 2) continue
      const g = gradient(patch, x, y)
      seen.push({ x, y, gx: g?.gx ?? 0, gy: g?.gy ?? 0, w: g ? maths.exp(-far2 / (2 * (window_px / 2) ** 2)) : 0 })
    }
  return seen
}

/** Gradient at a pixel's centre, smoothed across its direction. Source of the weights 3, 10, 3: Scharr, 2000. */
function gradient(patch: LumaPatch, x: number, y: number): { gx: number; gy: number } | undefined {
  const v = (i: number, j: number) => {
    const column = Math.floor(x) - patch.x0 + i
    const row = Math.floor(y) - patch.y0 + j
    if (column < 0 || row < 0 || column >= patch.width || row >= patch.height) return NaN
    return patch.luma[row * patch.width + column]!
  }
  const [a, b, c, d, e, f, g, h] = [v(-1, -1), v(0, -1), v(1, -1), v(-1, 0), v(1, 0), v(-1, 1), v(0, 1), v(1, 1)]
  const gx = (3 * (c - a) + 10 * (e - d) + 3 * (h - f)) / 32
  const gy = (3 * (f - a) + 10 * (g - b) + 3 * (h - c)) / 32
  return Number.isFinite(gx) && Number.isFinite(gy) ? { gx, gy } : undefined
}

/** Opposite places around a crossing are alike; where three surfaces meet, they are not. */
function isEven(patch: LumaPatch, p: Px): boolean {
  const around = Array.from({ length: 24 }, (_, k) => {
    const angle = (2 * Math.PI * k) / 24
    return lumaAt(patch, p.x + 4 * maths.cos(angle), p.y + 4 * maths.sin(angle)) ?? NaN
  })
  const range = Math.max(...around) - Math.min(...around)
  const off = around.slice(0, 12).reduce((sum, value, k) => sum + Math.abs(value - around[k + 12]!), 0) / 12
  return off < 0.25 * range
}

/** How often the brightness crosses its middle value on a circle around a point. */
function turnsAround(patch: LumaPatch, p: Px): number {
  const around = Array.from({ length: 48 }, (_, k) => {
    const angle = (2 * Math.PI * k) / 48
    return lumaAt(patch, p.x + 5 * maths.cos(angle), p.y + 5 * maths.sin(angle)) ?? NaN
  })
  const [low, high] = [Math.min(...around), Math.max(...around)]
  if (!(high - low > 8)) return 0
  // Between the thresholds the side is kept: noise about the middle is no change.
  let side = 0
  let first = 0
  let changes = 0
  for (const value of around) {
    const now = value > low + 0.62 * (high - low) ? 1 : value < low + 0.38 * (high - low) ? -1 : side
    if (first === 0) first = now
    if (side !== 0 && now !== side) changes++
    side = now
  }
  return side !== first ? changes + 1 : changes
}

function meeting(patch: LumaPatch, at: Px, p: Px, q: Px): CornerReading | undefined {
  const [one, two] = [sideTowards(patch, at, p), sideTowards(patch, at, q)]
  if (!one || !two) return undefined
  const cross = one.dx * two.dy - one.dy * two.dx
  // Sides within 15° of each other meet nowhere in particular.
  if (Math.abs(cross) < 0.26) return undefined
  const t = ((two.x - one.x) * two.dy - (two.y - one.y) * two.dx) / cross
  const found = { x: one.x + t * one.dx, y: one.y + t * one.dy }
  if (maths.hypot(found.x - at.x, found.y - at.y) > reach_px) return undefined
  const u_px = maths.hypot(one.u, two.u) / Math.abs(cross)
  return { kind: 'corner', at: found, u_px: Math.max(leastSettled_px, u_px), by: 'sides' }
}

/** The side that runs from near a corner towards its neighbour, as a line, with its uncertainty at the corner [px]. */
function sideTowards(patch: LumaPatch, at: Px, to: Px) {
  const length = maths.hypot(to.x - at.x, to.y - at.y)
  const [dx, dy] = [(to.x - at.x) / length, (to.y - at.y) / length]
  const end = Math.min(longestSide_px, 0.45 * length)
  const a = { x: at.x + rounded_px * dx, y: at.y + rounded_px * dy }
  const b = { x: at.x + end * dx, y: at.y + end * dy }
  if (!(end - rounded_px >= 20)) return undefined
  const half = Math.ceil(reach_px / profileStep_px)
  const places = Array.from({ length: 12 }, (_, i) => {
    const along = ((end - rounded_px) * i) / 11
    return { along, x: a.x + along * dx, y: a.y + along * dy, dx, dy }
  })
  const line = readString(patch, a, b, lineSort(profilesAcross(patch, places, half), half), reach_px)
  if (line.kind !== 'string' || line.seen < 0.7 * line.of) return undefined
  const long = maths.hypot(line.b.x - line.a.x, line.b.y - line.a.y)
  const u = maths.hypot(line.u_px, line.u_rad * rounded_px)
  return { x: line.a.x, y: line.a.y, dx: (line.b.x - line.a.x) / long, dy: (line.b.y - line.a.y) / long, u }
}
