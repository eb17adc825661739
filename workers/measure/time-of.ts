import {
  type Clip,
  type Deviations,
  type RatePiece,
  type Shutter,
  type SlowlaneRecord,
  type View,
  assertNever,
  valueOf,
} from '../record/index.ts'
import { inventedInUse } from './frame-rhythm.ts'
import { type ClockProblem, measuredRate } from './clip-clock.ts'
import { sourceId } from './source-ids.ts'

export type TimeProblem =
  | { readonly kind: 'time-unset'; readonly viewId: string }
  | { readonly kind: 'rate-not-positive'; readonly rate_hz: number }
  | {
      readonly kind: 'frames-invented'
      readonly clipId: string
      readonly every: number
      readonly first: number
      readonly inUse: number
    }
  | ClockProblem

/** How the frames of one clip become seconds. */
export interface TimeRule {
  readonly kind: 'time-rule'
  /** Real time [s] of a frame: of its first sensor row where a rolling shutter is given, else of the whole frame. */
  readonly secondsAt: (frame: number, ticks: number) => number
  /** Real seconds per frame, mean over the clip's base rate. */
  readonly secondsPerFrame: number
  /** Real seconds per second of the file, away from pieces: what timestamp rounding is scaled by. */
  readonly perFileSecond: number
  /** Standard uncertainty [s] of one timestamp on its own, from rounding in the file; 0 where frame numbers give the time. */
  readonly u_s: number
}

export const pieceSourceId = (clipId: string, piece: number): string => sourceId('piece', clipId, String(piece))

/** The rule for a clip with its sources moved by `deviations`; why there is none, where there is none. */
export function timeRuleOf(record: SlowlaneRecord, clip: Clip, deviations: Deviations): TimeRule | TimeProblem {
  const view = record.views[clip.viewId]
  if (!view) throw new Error(`the clip ${clip.id} names a view that the record does not hold`)
  const base = baseOf(record, view, clip, deviations)
  if (base.kind !== 'base') return base
  const invented = inventedInUse(clip)
  if (clip.filmedFrames && invented.length > 0)
    return { kind: 'frames-invented', clipId: clip.id, ...clip.filmedFrames, inUse: invented.length }
  const { timescale, firstTicks } = clip
  const plain =
    base.spacing === 'even'
      ? (frame: number) => frame * base.secondsPerFrame
      : (_frame: number, ticks: number) => ((ticks - firstTicks) / timescale) * base.perFileSecond
  const secondsAt = withPieces(clip, base, plain, deviations)
  return {
    kind: 'time-rule',
    secondsAt,
    secondsPerFrame: base.secondsPerFrame,
    perFileSecond: base.perFileSecond,
    // A timestamp rounded to a step is rectangular about its true value: step/√12 (JCGM 100:2008, F.2.2.1).
    u_s: base.spacing === 'even' ? 0 : (clip.timestampStep_s * base.perFileSecond) / Math.sqrt(12),
  }
}

interface Base {
  readonly kind: 'base'
  readonly spacing: 'timestamps' | 'even'
  readonly secondsPerFrame: number
  readonly perFileSecond: number
}

function baseOf(record: SlowlaneRecord, view: View, clip: Clip, deviations: Deviations): Base | TimeProblem {
  const timebase = view.timebase
  switch (timebase.kind) {
    case 'unset':
      return { kind: 'time-unset', viewId: view.id }
    case 'file': {
      // `drift` is the clock's relative error: real seconds per file second, less 1.
      const perFileSecond = 1 + valueOf(timebase.drift, record.sources, deviations)
      return { kind: 'base', spacing: 'timestamps', secondsPerFrame: perFileSecond / clip.fileRate_hz, perFileSecond }
    }
    case 'filmed-at': {
      const rate_hz = valueOf(timebase.rate_hz, record.sources, deviations)
      if (!(rate_hz > 0)) return { kind: 'rate-not-positive', rate_hz }
      return atRate(rate_hz, clip, timebase.spacing)
    }
    case 'measured': {
      const measured = measuredRate(record, view, deviations)
      if (measured.kind !== 'rate') return measured
      return atRate(measured.rate_hz, clip, timebase.spacing)
    }
    default:
      return assertNever(timebase)
  }
}

function atRate(rate_hz: number, clip: Clip, spacing: 'timestamps' | 'even'): Base {
  return { kind: 'base', spacing, secondsPerFrame: 1 / rate_hz, perFileSecond: clip.fileRate_hz / rate_hz }
}

/**
 * Pieces of a clip with rates of their own. Inside a piece time goes on from where the piece before ended; a piece's whole length is its frames
 * over its rate, spread by the timestamps where these are used.
 */
function withPieces(
  clip: Clip,
  base: Base,
  plain: (frame: number, ticks: number) => number,
  deviations: Deviations,
): (frame: number, ticks: number) => number {
  const pieces = [...(clip.pieces ?? [])].sort((a, b) => a.fromFrame - b.fromFrame)
  if (pieces.length === 0) return plain
  const starts: { frame: number; ticks: number; seconds: number; perFrame: number; perFileSecond: number }[] = []
  let seconds = plain(pieces[0]!.fromFrame, ticksOf(clip, pieces[0]!))
  for (const [i, piece] of pieces.entries()) {
    const perFrame = 1 / (piece.rate_hz * (1 + (deviations.get(pieceSourceId(clip.id, i)) ?? 0)))
    const ticks = ticksOf(clip, piece)
    const next = pieces[i + 1]
    const endFrame = next ? next.fromFrame : Math.max(piece.fromFrame + 1, clip.frames - 1)
    const endTicks = next ? ticksOf(clip, next) : clip.lastTicks
    const fileSeconds = (endTicks - ticks) / clip.timescale
    const whole = (endFrame - piece.fromFrame) * perFrame
    starts.push({
      frame: piece.fromFrame,
      ticks,
      seconds,
      perFrame,
      perFileSecond: fileSeconds > 0 ? whole / fileSeconds : 0,
    })
    seconds += whole
  }
  return (frame, ticks) => {
    let at = -1
    while (at + 1 < starts.length && starts[at + 1]!.frame <= frame) at++
    const start = starts[at]
    if (!start) return plain(frame, ticks)
    if (base.spacing === 'even' || start.perFileSecond === 0)
      return start.seconds + (frame - start.frame) * start.perFrame
    return start.seconds + ((ticks - start.ticks) / clip.timescale) * start.perFileSecond
  }
}

/** Ticks of a piece's first frame: as kept with it, else from even spacing. */
function ticksOf(clip: Clip, piece: RatePiece): number {
  if (piece.fromTicks !== undefined) return piece.fromTicks
  const perFrame = clip.frames > 1 ? (clip.lastTicks - clip.firstTicks) / (clip.frames - 1) : 0
  return clip.firstTicks + piece.fromFrame * perFrame
}

/** Rows that a rolling shutter has read before it reaches (x, y), in the displayed picture. */
export function rowsBefore(
  reads: Shutter['reads'],
  view: Pick<View, 'width' | 'height'>,
  x: number,
  y: number,
): number {
  switch (reads) {
    case 'down':
      return y
    case 'up':
      return view.height - y
    case 'right':
      return x
    case 'left':
      return view.width - x
    default:
      return assertNever(reads)
  }
}

/** Time [s] of a mark: its frame's time, and the shutter's delay at its row. */
export function secondsOf(
  rule: TimeRule,
  mark: { readonly frame: number; readonly ticks: number; readonly x: number; readonly y: number },
  shutter: { readonly lineTime_s: number; readonly reads: Shutter['reads'] } | null,
  view: Pick<View, 'width' | 'height'>,
): number {
  const frame = rule.secondsAt(mark.frame, mark.ticks)
  return shutter ? frame + shutter.lineTime_s * rowsBefore(shutter.reads, view, mark.x, mark.y) : frame
}
