import type { Luma, Rotation } from './frame-source.ts'
import { cutPatch, gradientOf, gradientWork, valueAt, type GradientWork, type Patch } from './patch.ts'
import { median, robustScatter, solveSymmetric, tukey } from './robust.ts'
import { REACH_RADII, searchCircles, type Candidate } from './settle-search.ts'
import { gaussianEdge, shapeAt } from './edge-shape.ts'

export interface Settled {
  readonly kind: 'settled'
  /** Centre of the ball's outline in the displayed picture, px. */
  readonly x: number
  readonly y: number
  /** σ of x and of y, px. */
  readonly sigma: { readonly x: number; readonly y: number }
  readonly radius: number
  readonly radiusSigma: number
  /** Share of the outline that was seen, 0 … 1. */
  readonly seen: number
}

export interface Unsure {
  readonly kind: 'unsure'
  readonly reason: 'no-outline' | 'little-outline' | 'not-round' | 'two-candidates' | 'too-far' | 'size-unknown'
  /** Best guess where there is one. */
  readonly guess?: { readonly x: number; readonly y: number; readonly radius: number }
}

export interface SettleOptions {
  /** Radius of the outline where known, px; an eighth more or less is allowed. */
  readonly expectedRadius?: number
  /** The same picture without the ball. */
  readonly background?: Luma
  readonly rotation?: Rotation
}

const RAYS = 96
const LOWEST = Math.cos((50 * Math.PI) / 180)
const REACH_PX = 5
const SMALLEST_RADIUS = 5
const LARGEST_RADIUS = 64
/** Neighbouring rays share pixels and compression blocks: about every fourth counts. */
const RAYS_SHARED = 4
const FLOOR_PX = 0.05
/** A circle whose radius is off by more than this share of the ball's is no outline of the ball: on rendered steel before dark posts every centre
 *  that was off by more than 2 px had one. */
const MOST_OFF_SIZE = 0.12

/** Memory that one click after the other uses. */
const work: { patch: Float32Array; gradient: GradientWork } = { patch: new Float32Array(0), gradient: gradientWork() }

/** Puts a click on a ball's centre by the ball's outline, in one frame alone. Never further from the click than 0.75
 *  radii, so it cannot jump to another ball. Says so where it is unsure. */
export function settleClick(luma: Luma, near: { x: number; y: number }, options: SettleOptions = {}): Settled | Unsure {
  const rotation = options.rotation ?? 0
  const radii = radiiToTry(options.expectedRadius)
  const largest = radii[radii.length - 1]!
  const half = Math.ceil(largest * (1 + REACH_RADII) + REACH_PX + 3)
  const patch = cutPatch(luma, rotation, near.x, near.y, half, work.patch)
  work.patch = patch.value
  const empty = options.background ? cutPatch(options.background, rotation, near.x, near.y, half) : undefined
  // With the empty picture at hand edges of the scene behind the ball drop out of the search.
  const searched = empty ? { ...patch, value: empty.value.map((v, i) => patch.value[i]! - v) } : patch
  const candidates = searchCircles(searched, gradientOf(searched, work.gradient), near, radii)
  const best = candidates[0]
  if (!best || best.score < 0.3) return { kind: 'unsure', reason: 'no-outline' }
  const fit = fitOutline(patch, best)
  if (!fit) return { kind: 'unsure', reason: 'little-outline', guess: { x: best.x, y: best.y, radius: best.radius } }
  const guess = { x: fit.x, y: fit.y, radius: fit.radius }
  if (Math.hypot(fit.x - near.x, fit.y - near.y) > REACH_RADII * fit.radius)
    return { kind: 'unsure', reason: 'too-far', guess }
  const offSize = options.expectedRadius === undefined ? 0 : Math.abs(fit.radius - options.expectedRadius)
  if (options.expectedRadius !== undefined && offSize > MOST_OFF_SIZE * options.expectedRadius) {
    return { kind: 'unsure', reason: 'not-round', guess }
  }
  if (fit.seen < 0.4) return { kind: 'unsure', reason: 'little-outline', guess }
  if (fit.scatter > Math.max(0.8, 0.05 * fit.radius)) return { kind: 'unsure', reason: 'not-round', guess }
  if (options.expectedRadius === undefined && mayBeOfSpots(fit, candidates, best.score))
    return { kind: 'unsure', reason: 'size-unknown', guess }
  const rival = candidates.find((other) => {
    const apart = Math.hypot(other.x - best.x, other.y - best.y)
    return (
      other !== best && apart > 0.6 * best.radius && other.score > 0.92 * best.score && other.radius > 0.6 * best.radius
    )
  })
  if (rival) return { kind: 'unsure', reason: 'two-candidates', guess }
  // A circle of the wrong size leans on something beside the ball, and by as much as its size is off its centre can be.
  const lean = Math.max(0, offSize - 2 * fit.radiusSigma)
  const sigma = { x: Math.hypot(fit.sigma.x, lean), y: Math.hypot(fit.sigma.y, lean) }
  return { kind: 'settled', ...guess, sigma, radiusSigma: fit.radiusSigma, seen: fit.seen }
}

/** Spots on a ball, and what lies between them and the lane, make circles as well. Of a ball whose size nobody told, a circle that its rays agree on no
 *  better than so [px, share of the radius], or that lies within a larger one nearly as complete, may be one of these. Without this rule 8 … 95 of 100
 *  settled clicks on rendered spotted balls were off by more than 2 px; with it hardly any of all clicks, and one in ten on a pale ball. */
const SPOTTY_PX = 0.6
const SPOTTY_SHARE = 0.03
const LARGER = 1.25
const AS_COMPLETE = 0.7

function mayBeOfSpots(fit: Outline, candidates: readonly Candidate[], score: number): boolean {
  if (fit.scatter > Math.max(SPOTTY_PX, SPOTTY_SHARE * fit.radius)) return true
  return candidates.some((other) => {
    const within = Math.hypot(other.x - fit.x, other.y - fit.y) < REACH_RADII * other.radius
    return within && other.radius > LARGER * fit.radius && other.score > AS_COMPLETE * score
  })
}

function radiiToTry(expected: number | undefined): number[] {
  const from = expected === undefined ? SMALLEST_RADIUS : 0.8 * expected
  const to = expected === undefined ? LARGEST_RADIUS : 1.2 * expected
  const factor = expected === undefined ? 1.12 : Math.max(1.03, 1 + 1 / expected)
  const radii: number[] = []
  for (let r = from; r < to * 1.001; r *= factor) radii.push(r)
  return radii
}

interface Outline {
  readonly x: number
  readonly y: number
  readonly radius: number
  readonly sigma: { readonly x: number; readonly y: number }
  readonly radiusSigma: number
  readonly seen: number
  readonly scatter: number
}

/** Circle through the brightness steps along rays from the centre; rays that miss it (the groove's lip, a reflection, a
 *  spot at the edge) lose their say by Tukey's weight. */
function fitOutline(patch: Patch, start: Candidate): Outline | undefined {
  let { x, y, radius } = start
  let result: Outline | undefined
  for (let round = 0; round < 4; round++) {
    const reach = Math.max(2.5, Math.min(round === 0 ? REACH_PX : 3.5, 0.4 * radius))
    const edges: { cos: number; sin: number; off: number; weight: number }[] = []
    for (let ray = 0; ray < RAYS; ray++) {
      const angle = (2 * Math.PI * (ray + 0.5)) / RAYS
      const cos = Math.cos(angle)
      const sin = Math.sin(angle)
      const edge = edgeOnRay(patch, x, y, cos, sin, radius, reach)
      // The lane's edge lies below and is a fine step too: it must not pull a small ball's circle up.
      const say = sin > LOWEST ? 0.25 : 1
      if (edge) edges.push({ cos, sin, off: edge.off, weight: say * edge.weight })
    }
    if (edges.length < 0.25 * RAYS) return undefined
    const circle = robustCircle(edges)
    if (!circle) return undefined
    const limit = Math.max(2, 0.2 * radius)
    if (Math.hypot(circle.dx, circle.dy) > 2 * limit || Math.abs(circle.dr) > limit) return undefined
    x += circle.dx
    y += circle.dy
    radius += circle.dr
    result = {
      x,
      y,
      radius,
      sigma: circle.sigma,
      radiusSigma: circle.radiusSigma,
      seen: circle.used / RAYS,
      scatter: circle.scatter,
    }
    if (Math.hypot(circle.dx, circle.dy, circle.dr) < 0.004) break
  }
  return result
}

const SAMPLES_PER_PX = 2
/** Blurred step at quarter pixels, the only distances between trial places and samples. */
const SHARES_REACH = 10
const SHARES = Float64Array.from({ length: 2 * SHARES_REACH + 1 }, (_, i) => {
  return shapeAt(gaussianEdge(0.95), (i - SHARES_REACH) / 4)
})

/** Brightness along a ray, and what a step explains at each trial place. */
const profile = new Float64Array(2 * REACH_PX * SAMPLES_PER_PX + 1)
const rest = new Float64Array(8 * REACH_PX)

/** Place of the strongest clean step along one ray, px outward of the circle: least squares of a blurred step with free
 *  levels at each trial place, then a parabola through the three best. */
function edgeOnRay(
  patch: Patch,
  x: number,
  y: number,
  cos: number,
  sin: number,
  radius: number,
  reach: number,
): { off: number; weight: number } | undefined {
  const n = Math.round(2 * reach * SAMPLES_PER_PX) + 1
  for (let i = 0; i < n; i++) {
    const at = radius - reach + i / SAMPLES_PER_PX
    profile[i] = valueAt(patch, x + at * cos, y + at * sin)
  }
  const trials = Math.max(2, Math.round((reach - 1) * 4)) * 2 + 1
  let best = -1
  let contrast = 0
  let flat = 0
  for (let t = 0; t < trials; t++) {
    // Only what lies within 2.5 px of the step judges it: further in there may be spots, further out the lane.
    const middle = (reach + (t - (trials - 1) / 2) / 4) * SAMPLES_PER_PX
    const first = Math.max(0, Math.ceil(middle - 2.5 * SAMPLES_PER_PX))
    const last = Math.min(n - 1, Math.floor(middle + 2.5 * SAMPLES_PER_PX))
    let w = 0
    let a = 0
    let aa = 0
    let v = 0
    let va = 0
    let vv = 0
    for (let i = first; i <= last; i++) {
      const share = SHARES[Math.round((middle - i) * 2) + SHARES_REACH]!
      const value = profile[i]!
      w++
      a += share
      aa += share * share
      v += value
      va += value * share
      vv += value * value
    }
    const spreadA = aa - (a * a) / w
    const cov = va - (v * a) / w
    const spreadV = vv - (v * v) / w
    const step = cov / spreadA
    // What a step explains, as signal: large and clean steps win.
    rest[t] = step * cov
    if (best < 0 || rest[t]! > rest[best]!) {
      best = t
      contrast = Math.abs(step)
      flat = Math.sqrt(Math.max(0, spreadV - step * cov) / Math.max(1, w - 2))
    }
  }
  if (contrast < 5 || contrast < 1.5 * flat || best <= 0 || best >= trials - 1) return undefined
  const low = rest[best - 1]!
  const high = rest[best + 1]!
  const bend = low - 2 * rest[best]! + high
  const part = bend < 0 ? (0.5 * (low - high)) / bend : 0
  const off = (best - (trials - 1) / 2 + Math.max(-0.5, Math.min(0.5, part))) / 4
  return { off, weight: Math.min(1, contrast / 25) }
}

interface CircleStep {
  readonly dx: number
  readonly dy: number
  readonly dr: number
  readonly sigma: { readonly x: number; readonly y: number }
  readonly radiusSigma: number
  readonly used: number
  readonly scatter: number
}

function robustCircle(
  edges: readonly { cos: number; sin: number; off: number; weight: number }[],
): CircleStep | undefined {
  const n = edges.length
  const weight = Float64Array.from(edges, (edge) => edge.weight)
  const middle = median(edges.map((edge) => edge.off))
  let parameters: Float64Array = new Float64Array([0, 0, middle])
  const errors = new Float64Array(n)
  let normal: Float64Array = new Float64Array(9)
  let scatter = Math.max(0.4, robustScatter(edges.map((edge) => edge.off)))
  for (let round = 0; round < 12; round++) {
    // Lower half: all that a symmetric matrix needs.
    let [cc, sc, ss, c1, s1, one, rc, rs, r1] = [0, 0, 0, 0, 0, 0, 0, 0, 0]
    for (let i = 0; i < n; i++) {
      const { cos, sin, off } = edges[i]!
      const w = weight[i]!
      cc += w * cos * cos
      sc += w * sin * cos
      ss += w * sin * sin
      c1 += w * cos
      s1 += w * sin
      one += w
      rc += w * cos * off
      rs += w * sin * off
      r1 += w * off
    }
    normal = Float64Array.of(cc, sc, c1, sc, ss, s1, c1, s1, one)
    const right = [rc, rs, r1]
    const solved = solveSymmetric(normal, right, 3)
    if (!solved) return undefined
    parameters = solved
    for (let i = 0; i < n; i++) {
      const e = edges[i]!
      errors[i] = e.off - solved[0]! * e.cos - solved[1]! * e.sin - solved[2]!
    }
    const now = Math.max(0.25, robustScatter(errors))
    // The cut closes slowly, so that a wrong first circle does not throw out the right edges.
    scatter = Math.max(now, 0.6 * scatter)
    for (let i = 0; i < n; i++) weight[i] = edges[i]!.weight * tukey(errors[i]!, 4 * scatter)
  }
  const used = edges.filter((edge, i) => weight[i]! > 0.3 * edge.weight)
  if (used.length < 0.2 * RAYS) return undefined
  const left = used.map((e) => e.off - parameters[0]! * e.cos - parameters[1]! * e.sin - parameters[2]!)
  const spread = Math.sqrt(left.reduce((sum, e) => sum + e * e, 0) / Math.max(1, used.length - 3))
  const variance = (p: number): number => {
    const unit = new Float64Array(3)
    unit[p] = 1
    const meanWeight = weight.reduce((a, b) => a + b, 0) / used.length
    const column = solveSymmetric(normal, unit, 3)
    return column ? column[p]! * meanWeight * spread * spread * RAYS_SHARED : Infinity
  }
  return {
    dx: parameters[0]!,
    dy: parameters[1]!,
    dr: parameters[2]!,
    sigma: { x: Math.hypot(Math.sqrt(variance(0)), FLOOR_PX), y: Math.hypot(Math.sqrt(variance(1)), FLOOR_PX) },
    radiusSigma: Math.hypot(Math.sqrt(variance(2)), FLOOR_PX),
    used: used.length,
    scatter: spread,
  }
}
