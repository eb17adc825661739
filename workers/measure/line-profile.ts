import { type LumaPatch, lumaAt } from './luma-patch.ts'

/** Distance between the places of a profile [px]. */
export const profileStep_px = 0.25

/** Brightness across a line at one place along it: index `half` lies on the line, higher indices to the right of its direction (y down). */
export interface AcrossProfile {
  readonly along: number
  readonly values: Float64Array
}

/** Profiles of 2·half + 1 places across a line, at places with a unit direction each; those that leave the patch are left out. */
export function profilesAcross(
  patch: LumaPatch,
  places: readonly { along: number; x: number; y: number; dx: number; dy: number }[],
  half: number,
): AcrossProfile[] {
  const profiles: AcrossProfile[] = []
  for (const { along, x, y, dx, dy } of places) {
    const values = new Float64Array(2 * half + 1)
    let whole = true
    for (let k = -half; k <= half && whole; k++) {
      const value = lumaAt(patch, x - k * profileStep_px * dy, y + k * profileStep_px * dx)
      if (value === undefined) whole = false
      else values[k + half] = value
    }
    if (whole) profiles.push({ along, values })
  }
  return profiles
}

/**
 * Whether a line is a string (alike on both sides) or an edge between two surfaces: by the mean profile's step from side to side against how far its
 * middle stands out from both.
 */
export function lineSort(profiles: readonly AcrossProfile[], half: number): 'string' | 'edge' {
  const mean = new Float64Array(2 * half + 1)
  for (const { values } of profiles) for (const [k, value] of values.entries()) mean[k] = mean[k]! + value
  const part = Math.max(1, Math.floor(half / 2))
  const level = (from: number) => mean.subarray(from, from + part).reduce((sum, value) => sum + value, 0) / part
  const [left, right] = [level(0), level(mean.length - part)]
  const [low, high] = [Math.min(left, right), Math.max(left, right)]
  const beyond = Math.max(0, ...mean.map((value) => Math.max(value - high, low - value)))
  return high - low > beyond ? 'edge' : 'string'
}

/** A string darker or brighter than what is beside it: by the greater departure from the profile's edges. */
export function isDarker(profiles: readonly { values: Float64Array }[]): boolean {
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
export function ridgePlace(values: Float64Array, darker: boolean): number | undefined {
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
export function edgeSense(profiles: readonly { values: Float64Array }[], half: number): number {
  let sum = 0
  for (const { values } of profiles) for (let k = 1; k <= half; k++) sum += values[half + k]! - values[half - k]!
  return sum < 0 ? -1 : 1
}

/** Index of the edge: centroid of the brightness steps of the right sense about the steepest one. */
export function edgePlace(values: Float64Array, sign: number): number | undefined {
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
