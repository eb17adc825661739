// The package has no types of its own; whoever compiles this file needs ours.
/// <reference path="./regression.d.ts" />
import regression from 'regression'

/** A polynomial through points, for the quick look while marking; results come from the fit, not from here. */
export interface Trend {
  readonly kind: 'trend'
  readonly order: number
  readonly at: (t: number) => number
  readonly slopeAt: (t: number) => number
  /** Second derivative; 0 for a straight line. */
  readonly bend: number
}
export type NoTrend = { readonly kind: 'too-few'; readonly have: number; readonly need: number }

/**
 * Least squares polynomial of order 1 or 2. Times are centred and scaled to ±1 before the package sees them, and values about their mean:
 * it solves normal equations and rounds to so many decimals, which large times and small values would not survive.
 * Needs more different times than the order.
 */
export function trendOf(points: readonly (readonly [t: number, y: number])[], order: 1 | 2): Trend | NoTrend {
  const times = new Set(points.map(([t]) => t))
  if (times.size <= order) return { kind: 'too-few', have: times.size, need: order + 1 }
  const t0 = Math.min(...times)
  const t1 = Math.max(...times)
  const middle = (t0 + t1) / 2
  const half = (t1 - t0) / 2
  const mean = points.reduce((sum, [, y]) => sum + y, 0) / points.length
  const spread = Math.max(...points.map(([, y]) => Math.abs(y - mean)))
  if (spread === 0) return { kind: 'trend', order, at: () => mean, slopeAt: () => 0, bend: 0 }
  const scaled = points.map(([t, y]) => [(t - middle) / half, (y - mean) / spread] as const)
  const { equation } = regression.polynomial(scaled, { order, precision: 15 })
  const [c0 = 0, c1 = 0, c2 = 0] = [...equation].reverse()
  const u = (t: number) => (t - middle) / half
  return {
    kind: 'trend',
    order,
    at: (t) => mean + spread * (c0 + c1 * u(t) + c2 * u(t) ** 2),
    slopeAt: (t) => (spread * (c1 + 2 * c2 * u(t))) / half,
    bend: (2 * spread * c2) / half ** 2,
  }
}
