import type { Clip } from '../record/index.ts'
import { type InventedReading, readInvented } from './invented-frames.ts'

/** How the moving part of the picture changes from frame to frame [grey levels]; NaN where nothing moves. */
export interface FrameChangeSeries {
  readonly first: number
  readonly step: ArrayLike<number>
  readonly bend: ArrayLike<number>
  /** What changes on a frame as a share of what changes around it in the same place. */
  readonly share: ArrayLike<number>
  readonly noise: number
}

/** A repeat changes by less than this share of what changes around it. */
const repeatShare = 0.15

/**
 * Frames that show the picture of the frame before again, found by picture: next to nothing changes where something moves before and after. A ball
 * that comes to rest is none: nothing moves after it.
 */
export function repeatedFrames({ first, share }: Pick<FrameChangeSeries, 'first' | 'share'>): number[] {
  return Array.from(share, (part, i) => (part < repeatShare ? first + i : -1)).filter((frame) => frame >= 0)
}

/** Whether frames of a clip were not filmed, from its longest stretch in which something moves. `firstReal` is a frame of the clip. */
export function readRhythm(changes: FrameChangeSeries): InventedReading {
  const { from, to } = longestStretch(changes.step)
  const part = (values: ArrayLike<number>) =>
    Array.from({ length: to - from }, (_, i) => (Number.isFinite(values[from + i]) ? values[from + i]! : 0))
  const reading = readInvented(evened(part(changes.step)), evened(part(changes.bend)), 0)
  if (reading.kind !== 'repeats' && reading.kind !== 'invented') return reading
  const offset = changes.first + from + reading.firstReal
  return { ...reading, firstReal: offset % reading.every }
}

/** Frames over which a series is brought to one level: longer than two turns of the longest rhythm that is looked for. */
const levelled = 21

/** A series over its own running mean: balls that come, go and speed up change the level, a rhythm stays. */
function evened(values: readonly number[]): number[] {
  return values.map((value, i) => {
    const near = values.slice(Math.max(0, i - (levelled >> 1)), i + (levelled >> 1) + 1)
    const level = near.reduce((sum, v) => sum + v, 0) / near.length
    return level > 0 ? value / level : 0
  })
}

/** Frames of a clip that lie between those filmed: all but every `every`th one, counted from `first`. */
export function framesBetween(every: number, first: number, frames: number): number[] {
  return Array.from({ length: frames }, (_, i) => i).filter((i) => i % every !== first % every)
}

/** Frames of a clip that were made between filmed ones and are still used; empty where none are known. */
export function inventedInUse(clip: Pick<Clip, 'filmedFrames' | 'frames' | 'repeated'>): number[] {
  if (!clip.filmedFrames) return []
  const out = new Set(clip.repeated ?? [])
  return framesBetween(clip.filmedFrames.every, clip.filmedFrames.first, clip.frames).filter((frame) => !out.has(frame))
}

/** The longest run of frames, ends excluded by half, in which something moves. */
function longestStretch(step: ArrayLike<number>): { from: number; to: number } {
  let best = { from: 0, to: 0 }
  let from = 0
  for (let i = 0; i <= step.length; i++) {
    if (i < step.length && Number.isFinite(step[i])) continue
    if (i - from > best.to - best.from) best = { from, to: i }
    from = i + 1
  }
  return best
}
