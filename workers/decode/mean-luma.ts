import type { FrameJob } from './frame-job.ts'
import type { Rect } from './turn.ts'
import { clipRect, meanOf } from './luma-patch.ts'

export interface MeanLumaParams {
  /** In coded pixels. */
  readonly rect: Rect
  readonly first: number
  /** Last frame, included. */
  readonly last: number
}

export type MeanLumaResult =
  | {
      readonly kind: 'series'
      readonly first: number
      /** Mean brightness of the rectangle, frame by frame, as a share of full scale; NaN where a frame has no picture. */
      readonly means: Float64Array
    }
  | { readonly kind: 'outside'; readonly width: number; readonly height: number }

/** Brightness of a region over time, for reading a lamp or mains flicker. */
export const meanLuma: FrameJob<MeanLumaParams, MeanLumaResult, { readonly fraction: number }> = async (
  source,
  params,
  context,
) => {
  const rect = clipRect(params.rect, source.width, source.height)
  if (rect === null) return { kind: 'outside', width: source.width, height: source.height }
  const first = Math.max(0, params.first)
  const last = Math.min(source.frames - 1, params.last)
  const means = new Float64Array(Math.max(0, last - first + 1)).fill(NaN)
  for (let i = 0; i < means.length; i++) {
    const outcome = await source.luma(first + i, context.signal)
    if (outcome.kind === 'luma') means[i] = meanOf(outcome.luma, rect)
    context.report({ fraction: (i + 1) / means.length })
  }
  return { kind: 'series', first, means }
}
