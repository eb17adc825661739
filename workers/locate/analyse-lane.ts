import { measureActivity, rowsBetween } from './activity.ts'
import { clearBackground, measureGain, medianProbes, probesOf, type Background, type Gain } from './background.ts'
import type { BandChunk } from './band-store.ts'
import { coverageOf, coverRests, sortTracks, type Sorted } from './coverage.ts'
import { detect, type Detections } from './detect.ts'
import { Doubt } from './doubts.ts'
import { elongationOf } from './elongation.ts'
import type { EdgePixels } from './edge-pixels.ts'
import { joinTracks } from './join-tracks.ts'
import { learnPassage, type Passage, type Sighting } from './learn.ts'
import { link, type Track } from './link.ts'
import { locateSmeared } from './locate-smeared.ts'
import { locatePassage, type Located, type PassageFrame } from './locate-passage.ts'
import { seenThrough, usualReading, type Reading } from './reading.ts'

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
/** So many rows of an outline place it nearly as well as all: what a codec does to one row it does to the next. On rendered clips with known truth
 *  balls of 17 … 24 px scatter by 3 % more with every second row. */
const ENOUGH_ROWS = 10
/** A ball that shows two edges in a smaller share of its frames (smeared, two in one) needs all its rows. */
const EASY = 0.8
/** A round ball of whose marks a larger share is doubted may be one that is seen through: on rendered clips .38 … .51 of glass balls', at most .29 of
 *  others'. */
const MUCH_DOUBTED = 0.35
const UNCLEAR = Doubt.oneEdge | Doubt.weakContrast | Doubt.poorFit

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
    const { passage, located, bothEdges } = learnAndLocate(frames, options.radius_px, background.noise, pixels)
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
        : { track, ...betterRead(frames, { passage, located }, options, background.noise, pixels) },
    )
  }
  passages.sort((a, b) => a.track.frames[0]! - b.track.frames[0]!)
  return { passages, notBalls, touching, background, gain }
}

type Read = Pick<LanePassage, 'passage' | 'located'>

/** Reads a ball of whose marks many are doubted as one that is seen through, and keeps what is clearer then. */
function betterRead(
  frames: readonly PassageFrame[],
  first: Read,
  options: LaneOptions,
  noise: number,
  pixels: readonly [EdgePixels, EdgePixels],
): Read {
  const doubted = doubtedShare(first.located)
  if (doubted <= MUCH_DOUBTED) return first
  const sightings = pickSightings(frames, options.radius_px, seenThrough.sightings)
  const passage = learnPassage(sightings, { radius: options.radius_px, across: 0 }, noise, pixels, seenThrough)
  if (!passage) return first
  const located = locatePassage(frames, passage, noise, pixels)
  return doubtedShare(located) < doubted ? { passage, located: surest(first.located, located) } : first
}

/** Of each frame the mark read again where that is clear; else the one read first, which is not clear then either. */
function surest(first: Located, again: Located): Located {
  const clear = new Map(again.marks.filter(({ doubt }) => (doubt & UNCLEAR) === 0).map((mark) => [mark.frame, mark]))
  const others = first.marks.filter(({ frame }) => !clear.has(frame))
  const marks = [...clear.values(), ...others.map((mark) => ({ ...mark, doubt: mark.doubt | Doubt.poorFit }))]
  return {
    marks: marks.sort((a, b) => a.frame - b.frame),
    refused: first.refused.filter(({ frame }) => !clear.has(frame)),
  }
}

function doubtedShare({ marks }: Located): number {
  return marks.filter(({ doubt }) => (doubt & UNCLEAR) !== 0).length / marks.length
}

interface Learned {
  readonly passage: Passage | undefined
  readonly located: Located | undefined
  /** Marks that rest on two edges. */
  readonly bothEdges: number
}

/** Learns a passage and places its ball in every frame, by some rows of its outlines where they suffice. */
function learnAndLocate(
  frames: readonly PassageFrame[],
  radius: number,
  noise: number,
  pixels: readonly [EdgePixels, EdgePixels],
): Learned {
  const sightings = pickSightings(frames, radius, usualReading.sightings)
  const by = (reading: Reading): Learned => {
    const passage = learnPassage(sightings, { radius, across: 0 }, noise, pixels, reading)
    const located = passage && locatePassage(frames, passage, noise, pixels)
    const bothEdges = located ? located.marks.filter((mark) => !Number.isNaN(mark.halfWidth)).length : 0
    return { passage, located, bothEdges }
  }
  const { rowsFrom, rowsTo } = usualReading
  const every = Math.max(1, Math.floor(((rowsTo - rowsFrom) * radius) / ENOUGH_ROWS))
  const some = by({ ...usualReading, every })
  return every > 1 && some.bothEdges < EASY * frames.length ? by(usualReading) : some
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
      if (Math.abs(arcAt(chunk, track.columns[i]!) - s) < 1.1 * r) near++
    })
    return near > 0.5 * track.frames.length || (shared > 0.5 * track.frames.length && near > 0.8 * shared)
  })
}

export function arcAt(chunk: BandChunk, column: number): number {
  const { arc, columns } = chunk.strip
  const i = Math.max(0, Math.min(columns - 2, Math.floor(column)))
  return arc[i]! + (column - i) * (arc[i + 1]! - arc[i]!)
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
      const s = arcAt(chunk, column)
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

/** Sightings spread evenly over the way, none near another ball; of a ball that the picture cuts off only where there are no others. */
function pickSightings(frames: readonly PassageFrame[], radius: number, most: number): Sighting[] {
  const apart = frames.filter((frame) => frame.nearest > 3 * radius + 12)
  const whole = apart.filter(({ band: { chunk }, s }) => {
    const { insideFrom, insideTo } = chunk.strip
    return s > arcAt(chunk, insideFrom) + 1.2 * radius && s < arcAt(chunk, insideTo - 1) - 1.2 * radius
  })
  const alone = whole.length < 8 ? apart : whole
  if (alone.length <= most) return alone.map(({ band, s }) => ({ band, s }))
  const way = new Float64Array(alone.length)
  for (let i = 1; i < alone.length; i++) way[i] = way[i - 1]! + Math.abs(alone[i]!.s - alone[i - 1]!.s) + 0.05
  const picked: Sighting[] = []
  let at = 0
  for (let k = 0; k < most; k++) {
    const target = ((k + 0.5) / most) * way[alone.length - 1]!
    while (at < alone.length - 1 && way[at]! < target) at++
    picked.push({ band: alone[at]!.band, s: alone[at]!.s })
  }
  return picked
}
