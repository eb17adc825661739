import type { RawMark } from './locate-passage.ts'

/** A stretch of marks in which the ball moves one way. */
export interface Piece {
  readonly from: number
  readonly to: number
  readonly direction: 1 | -1
  readonly starts: 'turn' | 'rest' | 'open'
  readonly ends: 'turn' | 'rest' | 'open'
  readonly restBefore?: { readonly from: number; readonly to: number }
  readonly restAfter?: { readonly from: number; readonly to: number }
}

const WINDOW_FRAMES = 10
/** Way within ±10 frames below which a ball counts as lying still, px. */
const STILL_PX = 0.7

/** Cuts marks where the ball rests or turns back. Indices are into `marks`, `to` excluded. */
export function splitAtRests(marks: readonly RawMark[]): Piece[] {
  const state = marks.map((_, i) => motionAt(marks, i))
  const pieces: Piece[] = []
  let i = 0
  while (i < marks.length) {
    if (state[i] === 0) {
      i++
      continue
    }
    let j = i
    while (j < marks.length && state[j] === state[i]) j++
    pieces.push(piece(marks, state, i, j))
    i = j
  }
  return pieces
}

function piece(marks: readonly RawMark[], state: readonly number[], from: number, to: number): Piece {
  let restFrom = from
  while (restFrom > 0 && state[restFrom - 1] === 0) restFrom--
  let restTo = to
  while (restTo < marks.length && state[restTo] === 0) restTo++
  const direction = state[from] as 1 | -1
  const before = from === 0 ? 'open' : restFrom < from ? 'rest' : 'turn'
  const after = to === marks.length ? 'open' : restTo > to ? 'rest' : 'turn'
  const span = (a: number, b: number): { from: number; to: number } => ({
    from: marks[a]!.frame,
    to: marks[b - 1]!.frame,
  })
  return {
    from,
    to,
    direction,
    starts: before,
    ends: after,
    ...(restFrom < from ? { restBefore: span(restFrom, from) } : {}),
    ...(restTo > to ? { restAfter: span(to, restTo) } : {}),
  }
}

/** Sense of motion at a mark: slope of a straight line over the marks within ±10 frames. */
function motionAt(marks: readonly RawMark[], i: number): -1 | 0 | 1 {
  let t = 0
  let s = 0
  let n = 0
  let from = i
  let to = i
  while (from > 0 && marks[i]!.frame - marks[from - 1]!.frame <= WINDOW_FRAMES) from--
  while (to + 1 < marks.length && marks[to + 1]!.frame - marks[i]!.frame <= WINDOW_FRAMES) to++
  for (let j = from; j <= to; j++) {
    t += marks[j]!.frame
    s += marks[j]!.s
    n++
  }
  t /= n
  s /= n
  let tt = 0
  let ts = 0
  for (let j = from; j <= to; j++) {
    tt += (marks[j]!.frame - t) ** 2
    ts += (marks[j]!.frame - t) * (marks[j]!.s - s)
  }
  if (n < 4 || tt === 0) return 0
  const way = (ts / tt) * 2 * WINDOW_FRAMES
  return Math.abs(way) < STILL_PX ? 0 : way > 0 ? 1 : -1
}
