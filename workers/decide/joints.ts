import * as maths from '../elementary/maths.ts'
import { momentRatio } from '../physics/ball.ts'
import { gapPassage, stepPassage, type ObstaclePassage } from '../physics/obstacles.ts'
import { noDeviations, valueOf, type SlowlaneRecord } from '../record/index.ts'
import type { LaneSetting } from './lane-setting.ts'

/** What a joint of a lane does to a ball: a gap of some width, or a step up of some height. */
export type JointEffect =
  | ({
      readonly kind: 'passes'
      /** Lane's slope over the one needed to start across it, as tangents; negative: a ball resting at it stays. */
      readonly startMargin: number
      /** Slowest ball at the lane's slowest place over the least speed. */
      readonly speedMargin_m_s: number
    } & ObstaclePassage)
  | { readonly kind: 'falls-in'; readonly size_m: number; readonly most_m: number }

/** A gap or step of the given size [m] on a lane. The formulas are for a flat lane; in a groove the ball rides lower and the step looks greater. */
export function jointEffect(
  record: SlowlaneRecord,
  setting: LaneSetting,
  joint: { readonly kind: 'gap' | 'step'; readonly size_m: number },
): JointEffect {
  const { radius_m, g_m_s2, series } = setting
  const hollow = record.balls[series.ballId]?.hollow
  const kappa = momentRatio(hollow ? valueOf(hollow, record.sources, noDeviations) : 0)
  const passage =
    joint.kind === 'gap'
      ? gapPassage(joint.size_m, radius_m, kappa, g_m_s2)
      : stepPassage(joint.size_m, radius_m, kappa, g_m_s2)
  if (!passage)
    return { kind: 'falls-in', size_m: joint.size_m, most_m: joint.kind === 'gap' ? 2 * radius_m : radius_m }
  const slowest = Math.min(...series.speeds.motions.flatMap((motion) => motion.speed_m_s))
  return {
    kind: 'passes',
    ...passage,
    startMargin: maths.tan(setting.slope_rad) - maths.tan(passage.startSlope_rad),
    speedMargin_m_s: slowest - passage.leastSpeed_m_s,
  }
}
