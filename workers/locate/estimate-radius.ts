import { measureActivity, rowsBetween, type Activity } from './activity.ts'
import { clearBackground, medianProbes } from './background.ts'
import type { BandChunk } from './band-store.ts'
import { detect } from './detect.ts'
import type { EdgePixels } from './edge-pixels.ts'
import { learnPassage } from './learn.ts'
import { usualReading } from './reading.ts'
import { link, travel } from './link.ts'
import { median } from './robust.ts'
import { inStripColumns } from './analyse-lane.ts'
import { arcAt } from './strip.ts'

/** Radius of the balls on a lane [px] when nobody has told it: the length of active stretches on the line gives a first
 *  value, the outline fit of the longest track the rest. Undefined where nothing ball-like moves. */
export function estimateRadius(chunk: BandChunk, pixels: readonly [EdgePixels, EdgePixels]): number | undefined {
  const { strip } = chunk
  const level = medianProbes(chunk, 31, undefined)
  const activity = measureActivity(chunk, level, undefined)
  const widths: number[] = []
  const step = Math.max(1, Math.floor(chunk.frames / 200))
  for (let frame = 0; frame < chunk.frames; frame += step) widths.push(...activeWidths(activity, frame))
  if (widths.length < 5) return undefined
  const perColumn = Math.abs(strip.arc[strip.columns - 1]! - strip.arc[0]!) / Math.max(1, strip.columns - 1)
  const first = (median(widths) / 2) * chunk.probeStep * perColumn
  if (first < 3) return undefined
  const r = first / perColumn
  const times = Float64Array.from({ length: chunk.frames }, (_, i) => i)
  const tracks = link(inStripColumns(detect(activity, r / chunk.probeStep), chunk.probeStep), {
    radius_columns: r,
    time_s: times,
    coast: 25,
  })
  const track = tracks.filter((t) => travel(t) > 2 * r).sort((a, b) => b.frames.length - a.frames.length)[0]
  if (!track) return undefined
  const allRows = rowsBetween(strip, -1.05 * first - 3, 0.8 * first + 3, 1)
  const reach = 1.5 * r + 10
  const covered: [number, number][][] = Array.from({ length: chunk.frames }, () => [])
  track.frames.forEach((frame, i) => {
    covered[frame]!.push([Math.floor(track.columns[i]! - reach), Math.ceil(track.columns[i]! + reach)])
  })
  const full = clearBackground(chunk, covered, allRows, undefined, undefined).level
  const sightings = Array.from({ length: 32 }, (_, i) => {
    const at = Math.floor(((i + 0.5) * track.frames.length) / 32)
    return {
      band: { chunk, frame: track.frames[at]!, level: full, gain: undefined },
      s: arcAt(strip, track.columns[at]!),
    }
  })
  const passage = learnPassage(sightings, { radius: first, across: 0 }, 1, pixels, usualReading)
  return passage ? passage.radius.coefficients[0]! : first
}

function activeWidths({ columns, value, spans }: Activity, frame: number): number[] {
  const row = new Float32Array(columns)
  for (const { from, to, base } of spans[frame]!) row.set(value.subarray(base + from, base + to), from)
  let peak = 0
  for (const v of row) peak = Math.max(peak, v)
  if (peak < 8) return []
  const widths: number[] = []
  let start = -1
  let quiet = 0
  for (let c = 0; c <= columns; c++) {
    const active = c < columns && row[c]! > 0.3 * peak
    if (active) {
      if (start < 0) start = c
      quiet = 0
    } else if (start >= 0 && (++quiet > 3 || c === columns)) {
      const width = c - quiet + 1 - start
      if (width >= 4) widths.push(width)
      start = -1
      quiet = 0
    }
  }
  return widths
}
