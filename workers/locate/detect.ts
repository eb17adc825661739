import type { Activity, Span } from './activity.ts'
import { robustScatter } from './robust.ts'

/** A place in one frame where something ball-sized differs from the empty lane. */
export interface Detection {
  /** Column (fractional, in columns of the strip) of its middle. */
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
  const { columns, frames, value, spans } = activity
  const half = Math.max(1, Math.round(0.75 * radius_columns))
  const apart = 1.2 * radius_columns
  const boxed = new Float32Array(columns + 1)
  const box = ({ from, to, base }: Span): void => {
    let sum = 0
    for (let c = from - half; c < to; c++) {
      const enter = c + half
      const leave = c - half - 1
      if (enter >= from && enter < to) sum += value[base + enter]!
      if (leave >= from) sum -= value[base + leave]!
      if (c >= from) boxed[c] = sum / (Math.min(columns - 1, c + half) - Math.max(0, c - half) + 1)
    }
  }
  const threshold = Math.max(2.5, 6 * quietScatter(activity, box, boxed))
  const byFrame: Detection[][] = []
  for (let f = 0; f < frames; f++) {
    const peaks: Detection[] = []
    for (const span of spans[f]!) {
      const { from, to } = span
      box(span)
      for (let c = from; c < to; c++) {
        const here = boxed[c]!
        if (here < threshold) continue
        if ((c > from && boxed[c - 1]! > here) || (c + 1 < to && boxed[c + 1]! >= here)) continue
        peaks.push({ column: centroid(value, span, c, half), strength: here })
      }
    }
    peaks.sort((a, b) => b.strength - a.strength)
    const kept: Detection[] = []
    for (const peak of peaks) if (kept.every((k) => Math.abs(k.column - peak.column) >= apart)) kept.push(peak)
    byFrame.push(kept)
  }
  return { byFrame, threshold }
}

/** Robust σ of the filtered activity. Columns that were not kept count as quiet. */
function quietScatter(activity: Activity, box: (span: Span) => void, boxed: Float32Array): number {
  const { columns, frames, spans } = activity
  const sample: number[] = []
  const step = Math.max(1, Math.floor(frames / 40))
  for (let f = 0; f < frames; f += step) {
    let looked = 0
    for (const span of spans[f]!) {
      const { from, to } = span
      box(span)
      for (let c = from + (f % 7); c < to; c += 9) sample.push(boxed[c]!)
      looked += to - from
    }
    for (let c = looked; c < columns; c += 9) sample.push(0)
  }
  return robustScatter(sample)
}

function centroid(value: Float32Array, { from, to, base }: Span, at: number, half: number): number {
  let centre = at
  for (let round = 0; round < 3; round++) {
    let sum = 0
    let moment = 0
    const middle = Math.round(centre)
    const reach = Math.round(half * 1.6)
    for (let c = Math.max(from, middle - reach); c <= Math.min(to - 1, middle + reach); c++) {
      const v = Math.max(0, value[base + c]!)
      sum += v
      moment += v * c
    }
    if (sum <= 0) return centre
    centre = moment / sum
  }
  return centre
}
