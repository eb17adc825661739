import type { Px } from '../record/index.ts'
import { type LumaPatch, lumaAt } from './luma-patch.ts'

export type StringReading =
  | {
      readonly kind: 'string'
      /** The given ends, moved onto the line that was found. */
      readonly a: Px
      readonly b: Px
      /** Standard uncertainty of each end across the line [px]. */
      readonly u_px: number
      /** Standard uncertainty of the line's direction [rad]. */
      readonly u_rad: number
      /** Places along the line where it was seen, of those looked at. */
      readonly seen: number
      readonly of: number
      readonly darker: boolean
    }
  | { readonly kind: 'string-short'; readonly px: number; readonly need: number }
  | { readonly kind: 'string-not-seen'; readonly seen: number; readonly of: number }

const shortest_px = 20

/**
 * Fits a line in sub-pixels to a string, or to an edge between two surfaces, that runs from near `a` to near `b`: across the line, at every pixel along
 * it, the string's centre (weighted by contrast against both sides) or the edge (place where the brightness is midway); then the best line, places far
 * from it given less weight (Tukey's biweight). `reach_px`: how far from the given line it may be.
 */
export function readString(
  patch: LumaPatch,
  a: Px,
  b: Px,
  what: 'string' | 'edge' = 'string',
  reach_px = 8,
): StringReading {
  const length = Math.hypot(b.x - a.x, b.y - a.y)
  if (!(length >= shortest_px)) return { kind: 'string-short', px: length, need: shortest_px }
  const [dx, dy] = [(b.x - a.x) / length, (b.y - a.y) / length]
  const count = Math.floor(length) + 1
  const step = 0.25
  const half = Math.ceil(reach_px / step)
  const profiles: { along: number; values: Float64Array }[] = []
  for (let i = 0; i < count; i++) {
    const along = (length * i) / (count - 1)
    const values = new Float64Array(2 * half + 1)
    let whole = true
    for (let k = -half; k <= half && whole; k++) {
      const value = lumaAt(patch, a.x + along * dx - k * step * dy, a.y + along * dy + k * step * dx)
      if (value === undefined) whole = false
      else values[k + half] = value
    }
    if (whole) profiles.push({ along, values })
  }
  const of = profiles.length
  if (of < shortest_px / 2) return { kind: 'string-not-seen', seen: of, of: count }
  const darker = what === 'string' ? isDarker(profiles) : false
  const sign = what === 'edge' ? edgeSense(profiles, half) : 1
  const points: { along: number; across: number }[] = []
  for (const { along, values } of profiles) {
    const across = what === 'string' ? ridge(values, darker) : edge(values, sign)
    if (across !== undefined) points.push({ along, across: (across - half) * step })
  }
  if (points.length < Math.max(10, of * 0.4)) return { kind: 'string-not-seen', seen: points.length, of }
  const fit = robustLine(points)
  const at = (along: number): Px => {
    const across = fit.at(along)
    return { x: a.x + along * dx - across * dy, y: a.y + along * dy + across * dx }
  }
  return {
    kind: 'string',
    a: at(0),
    b: at(length),
    u_px: Math.max(fit.u(0), fit.u(length)),
    u_rad: fit.uSlope,
    seen: fit.kept,
    of,
    darker,
  }
}

/** A string darker or brighter than what is beside it: by the greater departure from the profile's edges. */
function isDarker(profiles: readonly { values: Float64Array }[]): boolean {
  let sum = 0
  for (const { values } of profiles) {
    const side = sideOf(values)
    let low = Infinity
    let high = -Infinity
    for (const value of values) {
      low = Math.min(low, value)
      high = Math.max(high, value)
    }
    sum += high - side - (side - low)
  }
  return sum < 0
}

const sideOf = (values: Float64Array) => {
  const sorted = [...values].sort((p, q) => p - q)
  return sorted[sorted.length >> 1]!
}

/** Index of a string's centre in a profile: centroid of what departs from the sides by more than a third of its peak, about the peak. */
function ridge(values: Float64Array, darker: boolean): number | undefined {
  const side = sideOf(values)
  const depth = values.map((value) => (darker ? side - value : value - side))
  let peak = 0
  for (const [i, value] of depth.entries()) if (value > depth[peak]!) peak = i
  const noise = sideNoise(values, side)
  if (!(depth[peak]! > 4 * noise) || peak < 2 || peak > depth.length - 3) return undefined
  const floor = depth[peak]! / 3
  let top = 0
  let weight = 0
  for (let i = peak; i >= 0 && depth[i]! > floor; i--) {
    top += (depth[i]! - floor) * i
    weight += depth[i]! - floor
  }
  for (let i = peak + 1; i < depth.length && depth[i]! > floor; i++) {
    top += (depth[i]! - floor) * i
    weight += depth[i]! - floor
  }
  return weight > 0 ? top / weight : undefined
}

/** Robust scatter of the half of the profile nearest its middle value. */
function sideNoise(values: Float64Array, side: number): number {
  const off = [...values].map((value) => Math.abs(value - side)).sort((p, q) => p - q)
  return Math.max(0.5, off[off.length >> 2]! * 2)
}

/** + 1 where the picture gets brighter across the line, − 1 where darker. */
function edgeSense(profiles: readonly { values: Float64Array }[], half: number): number {
  let sum = 0
  for (const { values } of profiles) for (let k = 1; k <= half; k++) sum += values[half + k]! - values[half - k]!
  return sum < 0 ? -1 : 1
}

/** Index of the edge: centroid of the brightness steps of the right sense about the steepest one. */
function edge(values: Float64Array, sign: number): number | undefined {
  const steps = Float64Array.from({ length: values.length - 4 }, (_, i) => sign * (values[i + 4]! - values[i]!))
  let peak = 0
  for (const [i, value] of steps.entries()) if (value > steps[peak]!) peak = i
  if (!(steps[peak]! > 4) || peak < 1 || peak > steps.length - 2) return undefined
  const floor = steps[peak]! / 3
  let top = 0
  let weight = 0
  for (let i = peak; i >= 0 && steps[i]! > floor; i--) {
    top += (steps[i]! - floor) * i
    weight += steps[i]! - floor
  }
  for (let i = peak + 1; i < steps.length && steps[i]! > floor; i++) {
    top += (steps[i]! - floor) * i
    weight += steps[i]! - floor
  }
  return weight > 0 ? top / weight + 2 : undefined
}

/** Line through points, robust; uncertainties from the scatter, widened for neighbours that share pixels. */
function robustLine(points: readonly { along: number; across: number }[]) {
  let intercept = median(points.map((p) => p.across))
  let slope = 0
  let middle = 0
  let scale = Math.max(0.05, 1.4826 * median(points.map((p) => Math.abs(p.across - intercept))))
  let weights = points.map(() => 1)
  for (let pass = 0; pass < 12; pass++) {
    let [w, wx, wy] = [0, 0, 0]
    for (const [i, p] of points.entries()) {
      w += weights[i]!
      wx += weights[i]! * p.along
      wy += weights[i]! * p.across
    }
    middle = wx / w
    let [xx, xy] = [0, 0]
    for (const [i, p] of points.entries()) {
      xx += weights[i]! * (p.along - middle) ** 2
      xy += weights[i]! * (p.along - middle) * (p.across - wy / w)
    }
    slope = xy / xx
    intercept = wy / w
    const rest = points.map((p) => p.across - intercept - slope * (p.along - middle))
    scale = Math.max(0.01, 1.4826 * median(rest.map(Math.abs)))
    weights = rest.map((r) => {
      const q = r / (4.685 * scale)
      return Math.abs(q) < 1 ? (1 - q * q) ** 2 : 0
    })
  }
  const kept = weights.filter((weight) => weight > 0.1).length
  const rest = points.map((p) => p.across - intercept - slope * (p.along - middle))
  let [top, bottom, rss, w, xx] = [0, 0, 0, 0, 0]
  for (const [i, r] of rest.entries()) {
    const weight = weights[i]!
    rss += weight * r * r
    w += weight
    xx += weight * (points[i]!.along - middle) ** 2
    if (i > 0 && weight > 0.1 && weights[i - 1]! > 0.1) {
      top += r * rest[i - 1]!
      bottom += r * r
    }
  }
  const rho = bottom > 0 ? Math.min(0.9, Math.max(0, top / bottom)) : 0
  const sigma = Math.sqrt((rss / Math.max(1, w - 2)) * ((1 + rho) / (1 - rho)))
  const uSlope = sigma / Math.sqrt(xx)
  return {
    at: (along: number) => intercept + slope * (along - middle),
    u: (along: number) => Math.hypot(sigma / Math.sqrt(w), uSlope * (along - middle)),
    uSlope,
    kept,
  }
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((p, q) => p - q)
  return sorted[sorted.length >> 1]!
}
