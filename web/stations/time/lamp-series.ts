import type { Rect } from '../../../workers/bridge/decode-client.ts'
import type { Clip, Px } from '../../../workers/record/index.ts'

/** Frames that are read unless the person says otherwise: 10 s at 240 frames per second tell a rate to 0.02 %. */
const enoughFrames = 2400

export interface Stretch {
  readonly first: number
  readonly last: number
}

/** Frames that matter, from the first, as far as is enough. */
export function usualStretch(clip: Pick<Clip, 'trim' | 'frames'>): Stretch {
  const first = clip.trim?.first ?? 0
  const last = clip.trim?.last ?? clip.frames - 1
  return { first, last: Math.min(last, first + enoughFrames - 1) }
}

/** The box between two corners of the displayed picture, on whole pixels, at least one each way. */
export function boxBetween(a: Px, b: Px): Rect {
  const x = Math.floor(Math.min(a.x, b.x))
  const y = Math.floor(Math.min(a.y, b.y))
  return {
    x,
    y,
    width: Math.max(1, Math.ceil(Math.max(a.x, b.x)) - x),
    height: Math.max(1, Math.ceil(Math.max(a.y, b.y)) - y),
  }
}

export type LampSeries = NonNullable<Clip['lamp']>

/** Brightness per frame as the record keeps it, in grey levels of 8 bits; frames without a picture are left out. */
export function lampSeries(
  box: Rect,
  first: number,
  means: ArrayLike<number>,
  ticksOf: (frame: number) => number,
): LampSeries {
  const frames = Array.from({ length: means.length }, (_, i) => i).filter((i) => Number.isFinite(means[i]))
  return {
    ...box,
    fromFrame: first + (frames[0] ?? 0),
    ticks: frames.map((i) => ticksOf(first + i)),
    // A thousandth of a grey level is far below what any lamp's mean can tell.
    luma: frames.map((i) => Math.round(means[i]! * 255_000) / 1000),
  }
}
