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
  const variance = (priorDof * placing_px ** 2 + rss) / (priorDof + dof)
  const u = Math.sqrt(variance / gain)
  if (u > mostUncertainty) return { kind: 'edges-say-nothing', u, limit: mostUncertainty }
  return { kind: 'edges', k1, u, dof: priorDof + dof, rms_px: Math.sqrt(rss / points) }
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
  const angle = 0.5 * Math.atan2(2 * xy, xx - yy)
  const [nx, ny] = [-Math.sin(angle), Math.cos(angle)]
  return Array.from(xs, (x, i) => (x - mx) * nx + (ys[i]! - my) * ny)
}
