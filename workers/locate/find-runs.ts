import { analyseLane, type LaneAnalysis } from './analyse-lane.ts'
import { BandStore, type BandChunk } from './band-store.ts'
import type { Background } from './background.ts'
import { buildRuns, type BuildContext } from './build-run.ts'
import { doubtCodesOf } from './doubt-code.ts'
import { Doubt } from './doubts.ts'
import { makeEdgePixels } from './edge-pixels.ts'
import { displayedSize, type FrameSource, type Luma } from './frame-source.ts'
import type { FindOutcome, FoundRun, Note } from './found-run.ts'
import type { LaneLine } from './lane-line.ts'
import { gatherPieces, type BallPieces } from './across-chunks.ts'
import { estimateRadius } from './estimate-radius.ts'
import type { Track } from './link.ts'
import { layStrip } from './strip.ts'

export interface FindOptions {
  /** Real time of every frame of the clip, s, rising. */
  readonly time_s: ArrayLike<number>
  /** Frames to look at, from … to (excluded); the whole clip where absent. */
  readonly from?: number
  readonly to?: number
  /** Bytes that stored bands may take; longer clips are worked through in chunks. 192 MiB where absent. */
  readonly budget_bytes?: number
  /** Paths to follow besides those found, from clicks: lane id and one arc length [px] for each frame of a range. */
  readonly seeds?: readonly PathSeed[]
}

export interface PathSeed {
  readonly lane: string
  readonly firstFrame: number
  readonly s: ArrayLike<number>
}

export interface FindProgress {
  readonly done: number
  readonly total: number
  readonly stage: 'reading' | 'measuring'
  /** Runs complete so far, so that a cancelled search can still offer them. */
  readonly runs: readonly FoundRun[]
}

/** The part of an AbortSignal that the search reads. */
export interface CancelSignal {
  readonly aborted: boolean
}

export interface Watch {
  /** Aborted: the search ends at once; nobody waits for its runs. */
  readonly signal?: CancelSignal
  /** Aborted: reading ends, and what was read is worked out and handed over. */
  readonly stop?: CancelSignal
  readonly onProgress?: (progress: FindProgress) => void
  /** Called with every frame's luma as it passes, for a streak sheet built in the same pass. */
  readonly onFrame?: (frame: number, luma: Luma) => void
}

export interface FindCancelled {
  readonly kind: 'cancelled'
  readonly runs: readonly FoundRun[]
  readonly framesRead: number
}

const BUDGET_BYTES = 192 * 2 ** 20
const OVERLAP_FRAMES = 48
/** Radius whose band is stored while no radius is known, px. */
const WIDEST_RADIUS_PX = 36
/** Radius whose probe rows serve while none is known, px: rows close to the line cross balls of any size. */
const UNKNOWN_RADIUS_PX = 12
const COAST_FRAMES = 25
/** Share by which a size seen must differ from the one told before it is tried instead. */
const OTHER_SIZE = 0.1

interface LaneState {
  readonly line: LaneLine
  radius: number | undefined
  background: Background | undefined
  readonly balls: BallPieces
  readonly notes: Note[]
}

/** Finds every passage along every lane in one pass over the frames. */
export async function findRuns(
  source: FrameSource,
  lanes: readonly LaneLine[],
  options: FindOptions,
  watch: Watch = {},
): Promise<FindOutcome | FindCancelled> {
  const from = options.from ?? 0
  const to = Math.min(source.frameCount, options.to ?? source.frameCount)
  const states = lanes.map((line): LaneState => {
    return { line, radius: line.radius_px, background: undefined, balls: { pieces: [], refused: new Map() }, notes: [] }
  })
  const repeated = new Set<number>()
  const pixels = [makeEdgePixels(), makeEdgePixels()] as const
  let store: BandStore | undefined
  let read = 0
  const finished = (): FoundRun[] => states.flatMap((state) => runsOf(state, source, options.time_s, repeated, to))
  const analyse = (): void => {
    if (!store || store.frames < 2) return
    const chunks = states.map((_, lane) => store!.chunk(lane))
    for (const frame of store.repeated()) repeated.add(frame)
    states.forEach((state, lane) => analyseChunk(state, chunks[lane]!, options, pixels))
  }
  try {
    for (let frame = from; frame < to; frame++) {
      if (watch.signal?.aborted === true) return { kind: 'cancelled', runs: finished(), framesRead: read }
      if (watch.stop?.aborted === true) {
        analyse()
        return { kind: 'cancelled', runs: finished(), framesRead: read }
      }
      const answer = source.luma(frame)
      const luma = answer instanceof Promise ? await answer : answer
      store ??= openStore(source, states, luma, options.budget_bytes ?? BUDGET_BYTES, to - from)
      store.add(frame, luma)
      watch.onFrame?.(frame, luma)
      read++
      if (store.full && frame + 1 < to) {
        analyse()
        store.clear(Math.min(OVERLAP_FRAMES, store.frames >> 1))
        watch.onProgress?.({ done: read, total: to - from, stage: 'measuring', runs: finished() })
      } else if (read % 32 === 0) {
        watch.onProgress?.({ done: read, total: to - from, stage: 'reading', runs: [] })
      }
    }
    if (watch.signal?.aborted === true) return { kind: 'cancelled', runs: finished(), framesRead: read }
    analyse()
    const runs = finished()
    watch.onProgress?.({ done: read, total: to - from, stage: 'measuring', runs })
    return { kind: 'found', runs, notes: notesOf(states, runs, repeated), framesRead: read }
  } finally {
    store?.release()
  }
}

function openStore(
  source: FrameSource,
  states: readonly LaneState[],
  luma: Luma,
  budget: number,
  frames: number,
): BandStore {
  const bands = states.map(({ line, radius }) => {
    const r = radius ?? WIDEST_RADIUS_PX
    return {
      strip: layStrip(line, 1.1 * r + 4, 0.85 * r + 4, r + 8, source, luma.stride),
      radius_px: radius ?? UNKNOWN_RADIUS_PX,
    }
  })
  return new BandStore(bands, luma, budget, frames)
}

function analyseChunk(
  state: LaneState,
  chunk: BandChunk,
  options: FindOptions,
  pixels: readonly [ReturnType<typeof makeEdgePixels>, ReturnType<typeof makeEdgePixels>],
): void {
  const lane = state.line.id
  if (chunk.strip.insideTo - chunk.strip.insideFrom < 16) {
    if (!state.notes.some((note: Note) => note.kind === 'lane-outside'))
      state.notes.push({ kind: 'lane-outside', lane })
    return
  }
  state.radius ??= estimateRadius(chunk, pixels)
  if (state.radius === undefined) return
  const lookFor = (radius_px: number): LaneAnalysis =>
    analyseLane(
      chunk,
      {
        radius_px,
        time_s: options.time_s,
        coast: COAST_FRAMES,
        previous: state.background,
        extraTracks: seededTracks(options.seeds ?? [], lane, chunk),
      },
      pixels,
    )
  let analysis = lookFor(state.radius)
  // What moves may not have the size that was told: a smeared ball is longer, a scale may be wrong.
  const told = state.line.radius_px !== undefined
  const seen = told && nothingButOthers(analysis) ? estimateRadius(chunk, pixels) : undefined
  if (seen !== undefined && Math.abs(seen / state.radius - 1) > OTHER_SIZE) {
    const again = lookFor(seen)
    if (again.passages.length > 0) {
      analysis = again
      state.radius = seen
    }
  }
  state.background = analysis.background
  gatherPieces(state.balls, analysis, chunk, options.time_s)
  noteAnalysis(state, analysis)
}

const nothingButOthers = ({ passages, notBalls }: LaneAnalysis): boolean => passages.length === 0 && notBalls.length > 0

function seededTracks(seeds: readonly PathSeed[], lane: string, chunk: BandChunk): Track[] {
  const { arc, columns } = chunk.strip
  const perColumn = (arc[columns - 1]! - arc[0]!) / (columns - 1)
  return seeds
    .filter((seed) => seed.lane === lane)
    .map((seed) => {
      const frames: number[] = []
      const at: number[] = []
      for (let i = 0; i < seed.s.length; i++) {
        const frame = seed.firstFrame + i - chunk.firstFrame
        if (frame < 0 || frame >= chunk.frames) continue
        frames.push(frame)
        at.push((seed.s[i]! - arc[0]!) / perColumn)
      }
      return { frames, columns: at, strengths: at.map(() => 0) }
    })
    .filter((track) => track.frames.length > 0)
}

function runsOf(
  state: LaneState,
  source: FrameSource,
  time_s: ArrayLike<number>,
  repeated: ReadonlySet<number>,
  frameCount: number,
): FoundRun[] {
  const size = displayedSize(source)
  const context: BuildContext = {
    line: state.line,
    time_s,
    frameCount,
    pictureWidth: size.width,
    pictureHeight: size.height,
    refused: state.balls.refused,
    repeated,
  }
  return state.balls.pieces
    .flatMap((piece) => buildRuns(piece.marks, context))
    .sort((a, b) => a.frames[0]! - b.frames[0]!)
}

function noteAnalysis(state: LaneState, analysis: LaneAnalysis): void {
  const lane = state.line.id
  for (const span of analysis.touching) state.notes.push({ kind: 'touching', lane, ...span })
  for (const span of analysis.notBalls) state.notes.push({ kind: 'not-a-ball', lane, ...span })
  if (analysis.gain) {
    const at = analysis.gain.at
    const range = at.reduce((a, b) => Math.max(a, b), -Infinity) - at.reduce((a, b) => Math.min(a, b), Infinity)
    state.notes.push({ kind: 'flicker', lane, range })
  }
}

function notesOf(states: readonly LaneState[], runs: readonly FoundRun[], repeated: ReadonlySet<number>): Note[] {
  const notes: Note[] = states.flatMap((state): Note[] => state.notes)
  for (const state of states) {
    const lane = state.line.id
    const own = runs.filter((run) => run.lane === lane)
    if (own.length === 0) {
      const said = state.notes.some((note) => note.kind === 'lane-outside' || note.kind === 'touching')
      if (!said) notes.push({ kind: 'nothing-found', lane })
      continue
    }
    const smeared = own.filter((run) => run.doubt.some((bits) => (bits & Doubt.blurred) !== 0))
    if (smeared.length > 0) notes.push({ kind: 'smeared', lane, runs: smeared.length })
    const across = own.reduce((sum, run) => sum + run.across_px, 0) / own.length
    if (Math.abs(across) > 1.5) notes.push({ kind: 'line-off', lane, across_px: across })
    const marks = own.reduce((sum, run) => sum + run.frames.length, 0)
    const doubtful = own.reduce((sum, run) => sum + doubtCodesOf(run).filter((code) => code > 0).length, 0)
    if (doubtful > 0.2 * marks) notes.push({ kind: 'many-doubts', lane, share: doubtful / marks })
    for (const run of own) {
      for (const gap of run.gaps) {
        if (gap.reason === 'too-close') notes.push({ kind: 'too-close', lane, from: gap.from, to: gap.to })
      }
    }
  }
  if (repeated.size > 0) notes.push({ kind: 'repeated-frames', frames: [...repeated].sort((a, b) => a - b) })
  return notes
}
