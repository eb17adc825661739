import * as maths from '../elementary/maths.ts'
import type { SourceBook } from '../fit/estimates.ts'
import { ballBody } from '../fit/guide-numbers.ts'
import { inertiaFactor } from '../physics/ball.ts'
import { noDeviations, valueOf, type SlowlaneRecord } from '../record/index.ts'
import { changedLane, type BallStops, type ChangedLane } from './changed-lane.ts'
import type { LaneMargin } from './margin.ts'

/** Opening a V-groove so that the ball rides lower and is pinched less. */
export type GrooveChange =
  | {
      readonly kind: 'groove'
      readonly from_rad: number
      /** Included angle, rounded up to a whole degree. */
      readonly to_rad: number
      /** C_rr then, between the cautious and the hopeful law. */
      readonly crr: readonly [hopeful: number, cautious: number]
      /** Margin with the cautious one, as a tangent. */
      readonly margin: number
      readonly after: ChangedLane | BallStops
    }
  | { readonly kind: 'no-v-groove' }
  | { readonly kind: 'not-by-groove'; readonly from_rad: number }

/** Grooves more open than this hardly guide a ball [rad] (common practice, no source). */
const widest = (150 * Math.PI) / 180

/**
 * Least included angle at which the lane has its margin without another slope. C_rr of a rolling couple alone goes with 1/sin α (cautious), that of pivoting
 * in the contacts with cos α/sin²α (hopeful); what a groove does lies between. Source: two contacts, each with N = mg·cos θ/(2·sin α), couples b·N and
 * λ·N about their own axes (Johnson, Contact Mechanics, 1985, ch. 8 for pivoting; from memory). Only a run on the new groove tells.
 */
export function grooveFor(record: SlowlaneRecord, book: SourceBook, margin: LaneMargin): GrooveChange {
  const { setting, need } = margin
  const lane = record.lanes[setting.result.laneId]
  const ball = record.balls[setting.series.ballId]
  if (lane?.guide.kind !== 'v-groove' || !ball) return { kind: 'no-v-groove' }
  const read = (stated: Parameters<typeof valueOf>[0]) => valueOf(stated, record.sources, noDeviations)
  const from_rad = read(lane.guide.included_rad)
  const half = from_rad / 2
  const { usual, scatter, spot, doubt, speed } = need.parts
  const resisting = usual + scatter + spot
  const available = need.tangent + need.margin - doubt - speed
  const sine = (maths.sin(half) * resisting) / available
  if (!(available > 0 && sine <= maths.sin(widest / 2))) return { kind: 'not-by-groove', from_rad }
  const degree = Math.PI / 180
  const to_rad = Math.max(from_rad, Math.ceil((2 * maths.asin(sine)) / degree - 1e-9) * degree)
  const cautious = maths.sin(half) / maths.sin(to_rad / 2)
  const hopeful = (maths.cos(to_rad / 2) / maths.cos(half)) * cautious ** 2
  const body = ballBody(ball, read)
  const crr = setting.crr.value * cautious
  return {
    kind: 'groove',
    from_rad,
    to_rad,
    crr: [setting.crr.value * hopeful, crr],
    margin: available - resisting * cautious,
    after: changedLane(book, setting, {
      slope_rad: setting.slope_rad,
      crr,
      k: inertiaFactor(body, body.radius_m * maths.sin(to_rad / 2)),
    }),
  }
}
