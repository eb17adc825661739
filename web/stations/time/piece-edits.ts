import type { Draft } from 'immer'
import type { Clip, RatePiece } from '../../../workers/record/index.ts'
import { clockHalf } from './time-edits.ts'

/** What a typed rate is sure to when nobody says otherwise: a quartz within its limits. */
const usualU = clockHalf / Math.sqrt(3)

/** Pieces in the order of their frames; none: one rate all along. */
export const piecesOf = (clip: Clip): readonly RatePiece[] =>
  [...(clip.pieces ?? [])].sort((a, b) => a.fromFrame - b.fromFrame)

export function setPieces(clip: Draft<Clip>, pieces: readonly RatePiece[]): void {
  if (pieces.length < 2) delete clip.pieces
  else clip.pieces = pieces.map((piece) => ({ ...piece }))
}

/** Cuts at a frame: what follows has a rate of its own from now on, to begin with the one it had. */
export function cutAt(clip: Draft<Clip>, frame: number, ticks: number, rate_hz: number): void {
  if (frame <= 0 || frame >= clip.frames) return
  const pieces = piecesOf(clip)
  if (pieces.some((piece) => piece.fromFrame === frame)) return
  const whole: RatePiece = { fromFrame: 0, fromTicks: clip.firstTicks, rate_hz, uRelative: usualU }
  const before = pieces.filter((piece) => piece.fromFrame < frame)
  const around = before.at(-1) ?? whole
  setPieces(clip, [
    ...(before.length > 0 ? before : [whole]),
    { ...around, fromFrame: frame, fromTicks: ticks },
    ...pieces.filter((piece) => piece.fromFrame > frame),
  ])
}

/** Frames between which the cut at the start of a piece may lie; null for the first piece, which begins the clip. */
export function roomOfCut(clip: Clip, piece: number): { readonly least: number; readonly most: number } | null {
  const pieces = piecesOf(clip)
  const before = pieces[piece - 1]
  if (!before) return null
  return { least: before.fromFrame + 1, most: (pieces[piece + 1]?.fromFrame ?? clip.frames) - 1 }
}

export function moveCut(clip: Draft<Clip>, piece: number, frame: number, ticks: number): void {
  const room = roomOfCut(clip, piece)
  if (!room || frame < room.least || frame > room.most) return
  changePiece(clip, piece, { fromFrame: frame, fromTicks: ticks })
}

export function changePiece(clip: Draft<Clip>, piece: number, change: Partial<RatePiece>): void {
  setPieces(
    clip,
    piecesOf(clip).map((held, i) => (i === piece ? { ...held, ...change } : held)),
  )
}

/** Takes a cut away: the piece before goes on to the next. */
export function joinPiece(clip: Draft<Clip>, piece: number): void {
  setPieces(
    clip,
    piecesOf(clip).filter((_, i) => i !== piece || i === 0),
  )
}
