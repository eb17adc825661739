import type { FrameJob } from '../../decode/frame-job.ts'
import type { Rotation } from '../../locate/frame-source.ts'
import { settleCorner, type CornerReading } from '../../measure/settle-corner.ts'
import type { Px } from '../../record/index.ts'
import { displayedPatch, rectAround, type NoPixels } from './displayed-patch.ts'

export interface SettleCornersParams {
  readonly frame: number
  readonly turn_deg: Rotation
  readonly corners: readonly Px[]
  /** The corners are those of one outline, in turn: sides run between neighbours. Else each stands alone. */
  readonly outline: boolean
}

/** Puts placed corners on the corners that are seen, each by itself. */
export const settleCornersJob: FrameJob<
  SettleCornersParams,
  { readonly kind: 'corners'; readonly corners: readonly CornerReading[] } | NoPixels,
  never
> = async (source, { frame, turn_deg, corners, outline }, context) => {
  const readings: CornerReading[] = []
  for (const [i, at] of corners.entries()) {
    const n = corners.length
    const towards = outline ? [corners[(i + n - 1) % n]!, corners[(i + 1) % n]!] : []
    const cut = await displayedPatch(source, frame, turn_deg, rectAround([at], 110), context.signal)
    if (cut.kind !== 'patch') return cut
    readings.push(settleCorner(cut.patch, at, towards))
  }
  return { kind: 'corners', corners: readings }
}
