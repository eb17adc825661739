import * as maths from '../elementary/maths.ts'
import type { Px } from '../record/index.ts'
import { straighteningFactor } from './radial.ts'

/** Where the centre of distortion lies and the unit of radius [px]. */
export interface LensFrame {
  readonly cx: number
  readonly cy: number
  readonly half: number
}

export type EdgeFitProblem =
  | { readonly kind: 'edges-need-points'; readonly have: number; readonly need: number }
  | { readonly kind: 'edges-say-nothing'; readonly u: number; readonly limit: number }

export interface EdgeFit {
  readonly kind: 'edges'
  /** r in units of the half diagonal. */
  readonly k1: number
  readonly u: number
  readonly dof: number
  /** Root mean square distance of the points from their straightened edges [px]. */
  readonly rms_px: number
}

/**
 * Above this the edges tell no more than not knowing does: a lens nobody looked at lies within about ± 0.05 (common practice, no source),
 * standard uncertainty 0.03.
 */
const mostUncertainty = 0.03
/** Weight of the stated placing noise against the scatter seen, as degrees of freedom. */
const priorDof = 4

/**
 * k1 of radial distortion from edges that are straight in the scene: the value that makes them straightest, by Gauss–Newton on the
 * distances of the points from each edge's own best line. Edges need three points or more; those through the centre say nothing.
 * Source of the idea: Brown, "Close-range camera calibration", 1971 (plumb-line method).
 */
export function fitStraightEdges(
  edges: readonly (readonly Px[])[],
  frame: LensFrame,
  placing_px: number,
): EdgeFit | EdgeFitProblem {
  const used = edges.filter((edge) => edge.length >= 3)
  if (used.length === 0)
    return { kind: 'edges-need-points', have: Math.max(0, ...edges.map((edge) => edge.length)), need: 3 }
  const points = used.reduce((sum, edge) => sum + edge.length, 0)
  const distances = (k1: number) => {
    const all: number[] = []
    for (const edge of used) all.push(...bends(edge, frame, k1))
    return all
  }
  let k1 = 0
  let gain = 0
  for (let step = 0; step < 30; step++) {
    const here = distances(k1)
    const h = 1e-6
    const before = distances(k1 - h)
    const after = distances(k1 + h)
    let slope = 0
    gain = 0
    for (const [i, d] of here.entries()) {
      const rate = (after[i]! - before[i]!) / (2 * h)
      slope += rate * d
      gain += rate * rate
    }
    // 1 px of bend per unit of k1 over all points: nothing to go by, and the step below would be thrown anywhere.
    if (!(gain > 1)) return { kind: 'edges-say-nothing', u: Infinity, limit: mostUncertainty }
    const change = -slope / gain
    k1 += Math.max(-0.1, Math.min(0.1, change))
    if (Math.abs(change) < 1e-13) break
  }
  const rest = distances(k1)
  const rss = rest.reduce((sum, d) => sum + d * d, 0)
  const dof = points - 2 * used.length - 1
  const variance = (priorDof * placing_px ** 2 + rss * alikeness(used, frame, k1)) / (priorDof + dof)
  const u = maths.hypot(Math.sqrt(variance / gain), bowed(used, frame, k1, gain))
  if (u > mostUncertainty) return { kind: 'edges-say-nothing', u, limit: mostUncertainty }
  return { kind: 'edges', k1, u, dof: priorDof + dof, rms_px: Math.sqrt(rss / points) }
}

/** What passes for straight (a planed board, a shelf) is bowed by up to about this share of its length (common practice, no source). */
const bow = 1 / 4000

/** Root mean square of a parabola of height 1 about its own best line: √(4/45). */
const parabola_rms = Math.sqrt(4 / 45)

/**
 * Standard uncertainty of k1 from edges that are not quite straight, each bowed by itself as a parabola: by what passes for straight, and by as much
 * as it leaves over with a course of its own (a shadow beside it, another surface behind one stretch), since as much may hide in the bend.
 */
function bowed(edges: readonly (readonly Px[])[], frame: LensFrame, k1: number, gain: number): number {
  const h = 1e-6
  let sum = 0
  for (const edge of edges) {
    const [before, after] = [bends(edge, frame, k1 - h), bends(edge, frame, k1 + h)]
    const [a, b] = [edge[0]!, edge[edge.length - 1]!]
    const [dx, dy] = [b.x - a.x, b.y - a.y]
    const length = maths.hypot(dx, dy)
    const height = maths.hypot(bow * length, coursing(bends(edge, frame, k1)) / parabola_rms)
    const shape = edge.map((p) => {
      const q = ((p.x - a.x) * dx + (p.y - a.y) * dy) / length ** 2
      return height * 4 * q * (1 - q)
    })
    // A bow about the edge's own line: what a shift takes up is no bend.
    const mean = shape.reduce((total, value) => total + value, 0) / shape.length
    const part = shape.reduce((total, value, i) => total + ((value - mean) * (after[i]! - before[i]!)) / (2 * h), 0)
    sum += (part / gain) ** 2
  }
  return Math.sqrt(sum)
}

/** Below this many points noise and course cannot be told apart. */
const coursePoints = 20

/** Root mean square of the part of the rest that neighbours share [px]: all of it less what differences of neighbours show as noise. */
function coursing(rest: readonly number[]): number {
  const n = rest.length
  if (n < coursePoints) return 0
  const all = rest.reduce((sum, value) => sum + value * value, 0) / n
  const steps = rest.slice(1).map((value, i) => Math.abs(value - rest[i]!))
  // Median, so that the few places where one surface gives way to another do not count as noise. 1.4826: σ over the median of |x|.
  const noise = (1.4826 * [...steps].sort((p, q) => p - q)[steps.length >> 1]!) / Math.SQRT2
  return Math.sqrt(Math.max(0, all - noise * noise))
}

/** Points of an edge needed before what neighbours have in common can be told. */
const tellingPoints = 8

/**
 * How much less many points of an edge tell than their number says, because neighbours err alike (a shadow, another surface behind one stretch, a board
 * that is not quite straight): (1 + ρ)/(1 − ρ), ρ the correlation of neighbours along the edges; never below 1.
 * Source: variance of means of a first-order autoregression, for example Priestley, Spectral Analysis and Time Series, 5.3.
 */
function alikeness(edges: readonly (readonly Px[])[], frame: LensFrame, k1: number): number {
  let [top, bottom] = [0, 0]
  for (const edge of edges) {
    if (edge.length < tellingPoints) continue
    const rest = bends(edge, frame, k1)
    for (let i = 1; i < rest.length; i++) {
      top += rest[i]! * rest[i - 1]!
      bottom += (rest[i]! ** 2 + rest[i - 1]! ** 2) / 2
    }
  }
  const rho = bottom > 0 ? Math.min(0.95, Math.max(0, top / bottom)) : 0
  return (1 + rho) / (1 - rho)
}

/** Signed distances [px] of an edge's points from its best line after straightening with k1. */
function bends(edge: readonly Px[], frame: LensFrame, k1: number): number[] {
  const n = edge.length
  const xs = new Float64Array(n)
  const ys = new Float64Array(n)
  for (const [i, p] of edge.entries()) {
    const dx = (p.x - frame.cx) / frame.half
    const dy = (p.y - frame.cy) / frame.half
    const q = straighteningFactor(k1, dx * dx + dy * dy)
    xs[i] = frame.half * dx * q
    ys[i] = frame.half * dy * q
  }
  const mx = xs.reduce((sum, x) => sum + x, 0) / n
  const my = ys.reduce((sum, y) => sum + y, 0) / n
  let xx = 0
  let xy = 0
  let yy = 0
  for (let i = 0; i < n; i++) {
    xx += (xs[i]! - mx) ** 2
    xy += (xs[i]! - mx) * (ys[i]! - my)
    yy += (ys[i]! - my) ** 2
  }
  const angle = 0.5 * maths.atan2(2 * xy, xx - yy)
  const [nx, ny] = [-maths.sin(angle), maths.cos(angle)]
  return Array.from(xs, (x, i) => (x - mx) * nx + (ys[i]! - my) * ny)
}
