import type { Gradient, Patch } from './patch.ts'

export interface Candidate {
  readonly x: number
  readonly y: number
  readonly radius: number
  /** Share of the circle along which brightness steps across it, 0 … 1. */
  readonly score: number
}

const ANGLES = 40
const COS = Float64Array.from({ length: ANGLES }, (_, a) => Math.cos((2 * Math.PI * a) / ANGLES))
const SIN = Float64Array.from({ length: ANGLES }, (_, a) => Math.sin((2 * Math.PI * a) / ANGLES))
/** A lane hides the lowest part of its ball, and the hiding edge is a fine step itself: the lowest 100° have little say,
 *  or a smaller circle squeezed between the ball's top and the lane would win. */
const SAY = Float64Array.from(SIN, (sin) => (sin > Math.cos((50 * Math.PI) / 180) ? 0.25 : 1))
const ALL_SAY = SAY.reduce((a, b) => a + b, 0)
/** Angles in an order that goes round in coarse steps first, so that a bad circle shows early; and what all later ones have to say. */
const ORDER = Int32Array.from({ length: ANGLES }, (_, k) => (k * 11) % ANGLES)
const SAY_LEFT = Float64Array.from(ORDER, (_, k) => ORDER.slice(k + 1).reduce((sum, a) => sum + SAY[a]!, 0))

/** How far from the click a ball's centre may lie, in its own radii: less than half the distance of touching balls. */
export const REACH_RADII = 0.75

/** Step [grey levels/px] that counts as a full edge: well over what compression leaves in flat areas. */
const FULL_STEP = 7

/** Share of the circle that shows a radial step. The step's sign may differ from place to place (a polished ball is
 *  darker here and brighter there than what is behind it). A circle that cannot score more than `atLeast` is given up: −1. */
export function circleScore(
  patch: Patch,
  gradient: Gradient,
  x: number,
  y: number,
  radius: number,
  atLeast = 0,
): number {
  const { size, slopes } = gradient
  const inside = size - 4
  const fromX = x - patch.left
  const fromY = y - patch.top
  // A little less, so that rounding never gives up the circle that is just better.
  const enough = atLeast * ALL_SAY - 1e-9
  let sum = 0
  for (let k = 0; k < ANGLES; k++) {
    const a = ORDER[k]!
    const cos = COS[a]!
    const sin = SIN[a]!
    const i = Math.floor(fromX + radius * cos) - 2
    const j = Math.floor(fromY + radius * sin) - 2
    if (i >= 0 && j >= 0 && i < inside && j < inside) {
      const at = 2 * ((j + 2) * size + i + 2)
      const gx = slopes[at]!
      const gy = slopes[at + 1]!
      const radial = Math.abs(gx * cos + gy * sin)
      const around = Math.abs(gy * cos - gx * sin)
      const step = radial - 0.5 * around
      if (step > 0) sum += SAY[a]! * (step >= FULL_STEP ? 1 : step / FULL_STEP)
    }
    if (sum + SAY_LEFT[k]! < enough) return -1
  }
  return sum / ALL_SAY
}

/** Circles near a click, best first, no two of them the same. Larger ones win over spots and reflections inside them. */
export function searchCircles(
  patch: Patch,
  gradient: Gradient,
  near: { x: number; y: number },
  radii: readonly number[],
): Candidate[] {
  const rough: Candidate[] = []
  for (const radius of radii) {
    const reach = REACH_RADII * radius
    const step = Math.max(1, radius / 8)
    const n = Math.floor(reach / step)
    let best: Candidate | undefined
    for (let j = -n; j <= n; j++) {
      for (let i = -n; i <= n; i++) {
        const off = Math.hypot(i, j) * step
        if (off > reach) continue
        const x = near.x + i * step
        const y = near.y + j * step
        const credit = 1 - 0.15 * (off / reach) ** 2
        const score = circleScore(patch, gradient, x, y, radius, best ? best.score / credit : 0) * credit
        if (!best || score > best.score) best = { x, y, radius, score }
      }
    }
    if (best) rough.push(best)
  }
  rough.sort((a, b) => preference(b) - preference(a))
  const found = rough.slice(0, POLISHED).map((candidate) => polish(patch, gradient, candidate, near))
  found.sort((a, b) => preference(b) - preference(a))
  const kept: Candidate[] = []
  for (const candidate of found) {
    const same = kept.some((k) => {
      return (
        Math.hypot(k.x - candidate.x, k.y - candidate.y) < 0.3 * k.radius &&
        Math.abs(k.radius / candidate.radius - 1) < 0.25
      )
    })
    if (!same) kept.push(candidate)
  }
  return kept
}

const POLISHED = 6

/** A spot on a ball is as round as the ball; among circles nearly as complete the larger is the ball. */
function preference(candidate: Candidate): number {
  return candidate.score * candidate.radius ** 0.3
}

function polish(patch: Patch, gradient: Gradient, start: Candidate, near: { x: number; y: number }): Candidate {
  let best = start
  for (const step of [1, 0.5]) {
    for (let moved = true, rounds = 0; moved && rounds < 6; rounds++) {
      moved = false
      const from = best
      for (const [dx, dy, dr] of MOVES) {
        const x = from.x + dx * step
        const y = from.y + dy * step
        const radius = from.radius + dr * step
        if (Math.hypot(x - near.x, y - near.y) > REACH_RADII * radius) continue
        const score = circleScore(patch, gradient, x, y, radius, best.score)
        if (score > best.score + 1e-6) {
          best = { x, y, radius, score }
          moved = true
        }
      }
    }
  }
  return best
}

const MOVES = [
  [1, 0, 0],
  [-1, 0, 0],
  [0, 1, 0],
  [0, -1, 0],
  [0, 0, 1],
  [0, 0, -1],
  [1, 0, 1],
  [-1, 0, 1],
  [0, 1, 1],
  [0, -1, 1],
  [0, 1, -1],
  [0, -1, -1],
] as const
