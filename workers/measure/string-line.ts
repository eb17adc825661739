import * as maths from '../elementary/maths.ts'
import type { Px } from '../record/index.ts'
import { edgePlace, edgeSense, isDarker, profileStep_px, profilesAcross, ridgePlace } from './line-profile.ts'
import type { LumaPatch } from './luma-patch.ts'

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
  const length = maths.hypot(b.x - a.x, b.y - a.y)
  if (!(length >= shortest_px)) return { kind: 'string-short', px: length, need: shortest_px }
  const [dx, dy] = [(b.x - a.x) / length, (b.y - a.y) / length]
  const count = Math.floor(length) + 1
  const [step, half] = [profileStep_px, Math.ceil(reach_px / profileStep_px)]
  const profiles = profilesAcross(
    patch,
    Array.from({ length: count }, (_, i) => {
      const along = (length * i) / (count - 1)
      return { along, x: a.x + along * dx, y: a.y + along * dy, dx, dy }
    }),
    half,
  )
  const of = profiles.length
  if (of < shortest_px / 2) return { kind: 'string-not-seen', seen: of, of: count }
  const darker = what === 'string' ? isDarker(profiles) : false
  const sign = what === 'edge' ? edgeSense(profiles, half) : 1
  const points: { along: number; across: number }[] = []
  for (const { along, values } of profiles) {
    const across = what === 'string' ? ridgePlace(values, darker) : edgePlace(values, sign)
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
    u: (along: number) => maths.hypot(sigma / Math.sqrt(w), uSlope * (along - middle)),
    uSlope,
    kept,
  }
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((p, q) => p - q)
  return sorted[sorted.length >> 1]!
}
