import type { Truth } from '../../samples/truth.ts'
import type { Px, SlowlaneRecord } from '../../workers/record/index.ts'
import { exact } from '../unit/measure/scene.ts'

export const point = ([x, y]: readonly [number, number]): Px => ({ x, y })

/** Tells a record what is exactly known of a scene's first lane: its line on the plane `p`, its slope, guide and ball, and gravity. */
export function laneOfScene(record: SlowlaneRecord, truth: Truth): void {
  const lane = truth.lanes[0]!
  record.views['v']!.lines['A'] = {
    laneId: 'A',
    planeId: 'p',
    shape: 'straight',
    points: [lane.line_px[0]!, lane.line_px.at(-1)!].map(point),
    nearer_m: exact(0),
  }
  record.settings.gravity.g_m_s2 = exact(9.80665)
  record.balls['ball']!.diameter_m = exact(2 * lane.ball_radius_m)
  record.lanes['A']!.guide = { kind: 'typed', rollingRadius_m: exact(lane.r_e_m) }
  record.mountings['m']!.slope = { kind: 'angle', angle_rad: exact(lane.slope_rad) }
}
