import type { FrameJob } from '../../decode/frame-job.ts'
import { frameAccess, type NoAccess } from './frame-access.ts'
import type { Rotation } from '../frame-source.ts'
import { unsureSentence } from '../sentences.ts'
import { settleClick, type Settled, type Unsure } from '../settle-click.ts'

export interface SettleParams {
  readonly frame: number
  /** Click in the displayed picture [px]. */
  readonly x: number
  readonly y: number
  readonly turn_deg: Rotation
  /** Radius of the ball's outline where known [px]. */
  readonly expectedRadius?: number
}

/** Puts one click on the ball's centre. */
export const settleJob: FrameJob<
  SettleParams,
  Settled | (Unsure & { readonly says: string }) | NoAccess,
  never
> = async (decoded, params, context) => {
  const source = frameAccess(decoded, params.turn_deg, context.signal)
  if ('kind' in source) return source
  const luma = await source.luma(params.frame)
  const outcome = settleClick(luma, params, {
    rotation: source.rotation,
    ...(params.expectedRadius !== undefined && { expectedRadius: params.expectedRadius }),
  })
  return outcome.kind === 'settled' ? outcome : { ...outcome, says: unsureSentence(outcome) }
}
