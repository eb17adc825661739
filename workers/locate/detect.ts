import type { Activity } from './activity.ts'
import { robustScatter } from './robust.ts'

/** A place in one frame where something ball-sized differs from the empty lane. */
export interface Detection {
  /** Column (fractional) of its middle. */
  readonly column: number
  /** Mean activity over 1.5 radii, on the 0 … 255 scale. */
  readonly strength: number
}

export interface Detections {
  readonly byFrame: readonly (readonly Detection[])[]
  readonly threshold: number
}

/** Box filter of 1.5 radii over the activity, maxima above the threshold, others within 1.2 radii suppressed.
 *  Threshold: 6 robust σ of the filtered activity, at least 2.5 grey levels. */
export function detect(activity: Activity, radius_columns: number): Detections {
  const { columns, frames, value } = activity
  const half = Math.max(1, Math.round(0.75 * radius_columns))
  const apart = 1.2 * radius_columns
  const boxed = new Float32Array(columns)
  const sample: number[] = []
  const stride = Math.max(1, Math.floor((frames * columns) / 20000))
  const box = (frame: number): void => {
    const base = frame * columns
    let sum = 0
    for (let c = -half; c < columns; c++) {
      const enter = c + half
      const leave = c - half - 1
      if (enter < columns) sum += value[base + enter]!
      if (leave >= 0) sum -= value[base + leave]!
      if (c >= 0) boxed[c] = sum / (Math.min(columns - 1, c + half) - Math.max(0, c - half) + 1)
    }
  }
  const framesToSample = Math.max(1, Math.floor(frames / 40))
  for (let f = 0; f < frames; f += framesToSample) {
    box(f)
    for (let c = f % 7; c < columns; c += Math.max(7, Math.floor(stride / framesToSample))) sample.push(boxed[c]!)
  }
  const threshold = Math.max(2.5, 6 * robustScatter(sample))
  const byFrame: Detection[][] = []
  for (let f = 0; f < frames; f++) {
    box(f)
    const peaks: Detection[] = []
    for (let c = 0; c < columns; c++) {
      const here = boxed[c]!
      if (here < threshold) continue
      if ((c > 0 && boxed[c - 1]! > here) || (c + 1 < columns && boxed[c + 1]! >= here)) continue
      peaks.push({ column: centroid(value, f * columns, columns, c, half), strength: here })
    }
    peaks.sort((a, b) => b.strength - a.strength)
    const kept: Detection[] = []
    for (const peak of peaks) if (kept.every((k) => Math.abs(k.column - peak.column) >= apart)) kept.push(peak)
    byFrame.push(kept)
  }
  return { byFrame, threshold }
}

function centroid(value: Float32Array, base: number, columns: number, at: number, half: number): number {
  let centre = at
  for (let round = 0; round < 3; round++) {
    let sum = 0
    let moment = 0
    const middle = Math.round(centre)
    const reach = Math.round(half * 1.6)
    for (let c = Math.max(0, middle - reach); c <= Math.min(columns - 1, middle + reach); c++) {
      const v = Math.max(0, value[base + c]!)
      sum += v
      moment += v * c
    }
    if (sum <= 0) return centre
    centre = moment / sum
  }
  return centre + 0
}
