import { measureActivity, rowsBetween } from './activity.ts'
import { clearBackground, measureGain, medianProbes, probesOf, type Background, type Gain } from './background.ts'
import type { BandChunk } from './band-store.ts'
import { coverageOf, coverRests, sortTracks, type Sorted } from './coverage.ts'
import { detect, type Detections } from './detect.ts'
import { elongationOf } from './elongation.ts'
import type { EdgePixels } from './edge-pixels.ts'
import { joinTracks } from './join-tracks.ts'
import type { Passage } from './learn.ts'
import { link, type Track } from './link.ts'
import { locateSmeared } from './locate-smeared.ts'
import type { Located, PassageFrame } from './locate-passage.ts'
import { readAgain, readPassage } from './read-passage.ts'
import { arcAt } from './strip.ts'

export interface LanePassage {
  readonly track: Track
  readonly passage: Passage
  readonly located: Located
}

export interface LaneAnalysis {
  readonly passages: readonly LanePassage[]
  /** Things that moved along the lane without two clear edges a ball's width apart: first and last frame. */
  readonly notBalls: readonly { readonly from: number; readonly to: number }[]
  /** Pairs of balls that touch all the way, one outline together: first and last frame. */
  readonly touching: readonly { readonly from: number; readonly to: number }[]
  readonly background: Background
  readonly gain: Gain | undefined
}

export interface LaneOptions {
  readonly radius_px: number
  /** Real time by frame number of the clip, s. */
  readonly time_s: ArrayLike<number>
  readonly coast: number
  readonly previous: Background | undefined
  readonly extraTracks: readonly Track[]
}

/** Share by which an outline may differ from the size looked for. */
const SIZE_OFF = 0.25
/** Share of its frames in which a ball shows two edges, and one so faint that a hand's shadow could pass for it. */
const TWO_EDGES = 0.3
const TWO_FAINT_EDGES = 0.5
const LONGEST_GAP_FRAMES = 240
/** All balls that move along one lane within a chunk of frames. */
export function analyseLane(
  chunk: BandChunk,
  options: LaneOptions,
  pixels: readonly [EdgePixels, EdgePixels],
): LaneAnalysis {
  const { strip } = chunk
  const perColumn = Math.abs(strip.arc[strip.columns - 1]! - strip.arc[0]!) / Math.max(1, strip.columns - 1)
  const r = options.radius_px / perColumn
  const fitRows = rowsBetween(strip, -1.05 * options.radius_px - 3, 0.8 * options.radius_px + 3, 1)
  const times = Float64Array.from({ length: chunk.frames }, (_, i) => options.time_s[chunk.firstFrame + i]!)
  const first = medianProbes(chunk, 31, options.previous)
  let gain = measureGain(chunk, first)
  let found = search(chunk, first, gain, r, times, options.coast)
  let covered = coverageOf(found.detections, found.sorted, r)
  const rested = coverRests(covered, found.sorted, [strip.insideFrom, strip.insideTo], r)
  let background = clearBackground(chunk, covered, fitRows, options.previous, gain)
  if (rested || gain) {
    const level = probesOf(chunk, background.level)
    gain = gain && measureGain(chunk, level)
    found = search(chunk, level, gain, r, times, options.coast)
    covered = coverageOf(found.detections, found.sorted, r)
    coverRests(covered, found.sorted, [strip.insideFrom, strip.insideTo], r)
    background = clearBackground(chunk, covered, fitRows, options.previous, gain, background)
  }
  const passages: LanePassage[] = []
  const notBalls: { from: number; to: number }[] = []
  const touching: { from: number; to: number }[] = []
  const tracks = [...joinTracks(found.sorted.moving, times, r, LONGEST_GAP_FRAMES), ...options.extraTracks]
  const ordered = tracks.sort((a, b) => b.frames.length - a.frames.length)
  for (const track of ordered) {
    if (followsAnother(track, passages, chunk, r)) continue
    const frames = passageFrames(chunk, track, tracks, background, gain, times, r)
    if (frames.length < 5) continue
    const { passage, located, bothEdges } = readPassage(frames, options.radius_px, background.noise, pixels)
    const radius = passage ? passage.radius.coefficients[0]! : NaN
    if (
      !passage ||
      !located ||
      bothEdges < 8 ||
      bothEdges < (passage.clear ? TWO_EDGES : TWO_FAINT_EDGES) * frames.length ||
      Math.abs(radius / options.radius_px - 1) > SIZE_OFF
    ) {
      notBalls.push({
        from: chunk.firstFrame + track.frames[0]!,
        to: chunk.firstFrame + track.frames[track.frames.length - 1]!,
      })
      continue
    }
    const elongation = elongationOf(frames, radius, passage.across.coefficients[0]!)
    if (elongation.kind === 'two-balls') {
      touching.push({
        from: chunk.firstFrame + track.frames[0]!,
        to: chunk.firstFrame + track.frames[track.frames.length - 1]!,
      })
      continue
    }
    passages.push(
      elongation.kind === 'smeared'
        ? { track, passage, located: locateSmeared(frames, located, elongation, background.noise) }
        : { track, ...readAgain(frames, { passage, located }, options.radius_px, background.noise, pixels) },
    )
  }
  passages.sort((a, b) => a.track.frames[0]! - b.track.frames[0]!)
  return { passages, notBalls, touching, background, gain }
}

function search(
  chunk: BandChunk,
  level: Float32Array,
  gain: Gain | undefined,
  radius_columns: number,
  time_s: ArrayLike<number>,
  coast: number,
): { detections: Detections; sorted: Sorted } {
  const activity = measureActivity(chunk, level, gain)
  const detections = inStripColumns(detect(activity, radius_columns / chunk.probeStep), chunk.probeStep)
  const tracks = link(detections, { radius_columns, time_s, coast })
  return { detections, sorted: sortTracks(tracks, radius_columns) }
}

/** Detections in columns of the strip rather than in those that carry probes. */
export function inStripColumns(detections: Detections, step: number): Detections {
  if (step === 1) return detections
  return {
    ...detections,
    byFrame: detections.byFrame.map((found) =>
      found.map(({ column, strength }) => ({ column: column * step, strength })),
    ),
  }
}

/** One ball sometimes yields two chains of detections (its two dark halves): the longer one stands for both. */
function followsAnother(track: Track, passages: readonly LanePassage[], chunk: BandChunk, r: number): boolean {
  return passages.some(({ located }) => {
    const at = new Map(located.marks.map((mark) => [mark.frame - chunk.firstFrame, mark.s]))
    let shared = 0
    let near = 0
    track.frames.forEach((frame, i) => {
      const s = at.get(frame)
      if (s === undefined) return
      shared++
      if (Math.abs(arcAt(chunk.strip, track.columns[i]!) - s) < 1.1 * r) near++
    })
    return near > 0.5 * track.frames.length || (shared > 0.5 * track.frames.length && near > 0.8 * shared)
  })
}

/** Every frame from the track's first to its last, missing detections bridged straight; within the lane's line only. */
function passageFrames(
  chunk: BandChunk,
  track: Track,
  all: readonly Track[],
  background: Background,
  gain: Gain | undefined,
  times: ArrayLike<number>,
  r: number,
): PassageFrame[] {
  const { line } = chunk.strip
  const from = line.arc[0]!
  const to = line.arc[line.arc.length - 1]!
  const frames: PassageFrame[] = []
  const others = all.filter((other) => other !== track)
  const cursors = others.map(() => 0)
  for (let i = 0; i < track.frames.length; i++) {
    const next = track.frames[i + 1] ?? track.frames[i]! + 1
    for (let frame = track.frames[i]!; frame < next; frame++) {
      const share = (frame - track.frames[i]!) / (next - track.frames[i]!)
      const column = track.columns[i]! + share * ((track.columns[i + 1] ?? track.columns[i]!) - track.columns[i]!)
      const s = arcAt(chunk.strip, column)
      if (s < from || s > to) continue
      let nearest = Infinity
      others.forEach((other, o) => {
        while (cursors[o]! + 1 < other.frames.length && other.frames[cursors[o]! + 1]! <= frame) cursors[o]!++
        const at = cursors[o]!
        if (other.frames[at]! > frame || other.frames[other.frames.length - 1]! < frame) return
        const apart = Math.abs(other.columns[at]! - column)
        // Closer than half a radius is the same ball seen twice.
        if (apart > 0.9 * r) nearest = Math.min(nearest, apart)
      })
      frames.push({
        band: { chunk, frame, level: background.level, gain },
        frame: chunk.firstFrame + frame,
        time_s: times[frame]!,
        s,
        nearest,
      })
    }
  }
  return frames
}
