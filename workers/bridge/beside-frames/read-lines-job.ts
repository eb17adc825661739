import type { FrameJob } from '../../decode/frame-job.ts'
import type { Rotation } from '../../locate/frame-source.ts'
import { readBentEdge, type BentEdgeReading } from '../../measure/bent-edge.ts'
import { readString, type StringReading } from '../../measure/string-line.ts'
import type { Px } from '../../record/index.ts'
import { displayedPatch, rectAround, type NoPixels } from './displayed-patch.ts'

export interface ReadStringParams {
  readonly frame: number
  readonly turn_deg: Rotation
  /** Placed ends in the displayed picture [px]. */
  readonly a: Px
  readonly b: Px
  readonly what: 'string' | 'edge'
}

/** Fits a line in sub-pixels to a string or level edge between two placed points. */
export const readStringJob: FrameJob<ReadStringParams, StringReading | NoPixels, never> = async (
  source,
  params,
  context,
) => {
  const { frame, turn_deg, a, b, what } = params
  const cut = await displayedPatch(source, frame, turn_deg, rectAround([a, b], 14), context.signal)
  return cut.kind === 'patch' ? readString(cut.patch, a, b, what) : cut
}

export interface ReadBentEdgeParams {
  readonly frame: number
  readonly turn_deg: Rotation
  readonly points: readonly Px[]
}

/** Follows an edge that the lens bends through points placed along it. */
export const readBentEdgeJob: FrameJob<ReadBentEdgeParams, BentEdgeReading | NoPixels, never> = async (
  source,
  { frame, turn_deg, points },
  context,
) => {
  // The curve through few points may bulge beyond them.
  const cut = await displayedPatch(source, frame, turn_deg, rectAround(points, 40), context.signal)
  return cut.kind === 'patch' ? readBentEdge(cut.patch, points) : cut
}
