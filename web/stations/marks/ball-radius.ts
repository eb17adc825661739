import { laneGeometry } from '../../../workers/measure/lane-geometry.ts'
import { noDeviations, type Px, type SlowlaneRecord } from '../../../workers/record/index.ts'

/** Ring around the expected place where the scale does not tell the ball's size [px]. */
export const usualRing_px = 16

/** Radius of a ball in the picture [px] at a place on its lane; null where scale or ball do not tell it. */
export function ballRadius_px(
  record: SlowlaneRecord,
  viewId: string,
  laneId: string,
  ballId: string,
  at: Px,
): number | null {
  const geometry = laneGeometry(record, viewId, laneId, noDeviations)
  const ball = record.balls[ballId]
  if (geometry.kind !== 'lane' || !ball) return null
  const on = new Float64Array(3)
  geometry.project(at.x, at.y, on)
  const radius = ball.diameter_m.value / 2 / on[2]!
  return Number.isFinite(radius) && radius > 0 ? radius : null
}
