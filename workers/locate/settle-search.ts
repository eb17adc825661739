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

/** How far from the click a ball's centre may lie, in its own radii: less than half the distance of touching balls. */
export const REACH_RADII = 0.75

/** Step [grey levels/px] that counts as a full edge: well over what compression leaves in flat areas. */
const FULL_STEP = 7

/** Share of the circle that shows a radial step. The step's sign may differ from place to place (a polished ball is
 *  darker here and brighter there than what is behind it). */
export function circleScore(patch: Patch, gradient: Gradient, x: number, y: number, radius: number): number {
  const { size, gx, gy } = gradient
  let sum = 0
  for (let a = 0; a < ANGLES; a++) {
    const i = Math.floor(x + radius * COS[a]! - patch.left)
    const j = Math.floor(y + radius * SIN[a]! - patch.top)
    if (i < 2 || j < 2 || i >= size - 2 || j >= size - 2) continue
    const at = j * size + i
    const radial = Math.abs(gx[at]! * COS[a]! + gy[at]! * SIN[a]!)
    const around = Math.abs(gy[at]! * COS[a]! - gx[at]! * SIN[a]!)
    const step = radial - 0.5 * around
    if (step > 0) sum += SAY[a]! * (step >= FULL_STEP ? 1 : step / FULL_STEP)
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
        const score = circleScore(patch, gradient, x, y, radius) * (1 - 0.15 * (off / reach) ** 2)
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
        const score = circleScore(patch, gradient, x, y, radius)
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
