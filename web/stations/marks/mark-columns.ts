import type { Draft } from 'immer'
import type { Marks, Origin, Px } from '../../../workers/record/index.ts'

export interface Mark {
  readonly frame: number
  readonly ticks: number
  readonly x: number
  readonly y: number
  readonly sigma: number
  readonly origin: Origin
  readonly doubt: number
}

export const noMarks = (): Marks => ({ frame: [], ticks: [], x: [], y: [], sigma: [], origin: [], doubt: [] })

/** Place of a frame in the ordered columns, and whether it is there. */
export function placeOf(frames: readonly number[], frame: number): { readonly index: number; readonly there: boolean } {
  let low = 0
  let high = frames.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (frames[middle]! < frame) low = middle + 1
    else high = middle
  }
  return { index: low, there: frames[low] === frame }
}

export function markAt(marks: Marks, frame: number): Mark | undefined {
  const { index, there } = placeOf(marks.frame, frame)
  return there ? markNumber(marks, index) : undefined
}

export function markNumber(marks: Marks, i: number): Mark {
  return {
    frame: marks.frame[i]!,
    ticks: marks.ticks[i]!,
    x: marks.x[i]!,
    y: marks.y[i]!,
    sigma: marks.sigma[i]!,
    origin: marks.origin[i]!,
    doubt: marks.doubt[i]!,
  }
}

/** Puts a mark in its place; the one that stood on that frame gives way, so that a frame never holds two. */
export function putMark(draft: Draft<Marks>, mark: Mark): void {
  const { index, there } = placeOf(draft.frame, mark.frame)
  const gone = there ? 1 : 0
  draft.frame.splice(index, gone, mark.frame)
  draft.ticks.splice(index, gone, mark.ticks)
  draft.x.splice(index, gone, mark.x)
  draft.y.splice(index, gone, mark.y)
  draft.sigma.splice(index, gone, mark.sigma)
  draft.origin.splice(index, gone, mark.origin)
  draft.doubt.splice(index, gone, mark.doubt)
}

/** Takes away the mark of a frame; false when there was none. */
export function removeMark(draft: Draft<Marks>, frame: number): boolean {
  const { index, there } = placeOf(draft.frame, frame)
  if (!there) return false
  for (const column of [draft.frame, draft.ticks, draft.x, draft.y, draft.sigma, draft.origin, draft.doubt])
    column.splice(index, 1)
  return true
}

/** Moves a mark by hand. What the tool had found is then nudged, and no longer doubted. */
export function moveMark(draft: Draft<Marks>, frame: number, to: Px, click_px: number): void {
  const { index, there } = placeOf(draft.frame, frame)
  if (!there) return
  const before = draft.origin[index]!
  draft.x[index] = to.x
  draft.y[index] = to.y
  draft.origin[index] = before === 'found' || before === 'settled' || before === 'nudged' ? 'nudged' : 'hand'
  draft.sigma[index] = click_px
  draft.doubt[index] = 0
}
