import { rollingGeometry, type DoesNotRide } from '../physics/rolling-geometry.ts'
import type { BallBody, GuideShape } from '../physics/shapes.ts'
import {
  assertNever,
  type Ball,
  type Deviations,
  type Guide,
  type SlowlaneRecord,
  type Stated,
  valueOf,
} from '../record/index.ts'

export type GuideProblem = DoesNotRide

/** How a ball rides on a lane's guide, in numbers. */
export interface GuideNumbers {
  readonly kind: 'numbers'
  readonly rollingRadius_m: number
  readonly inertiaFactor: number
}

/** Rolling radius and inertia factor of a ball on a lane, with the sources moved by `deviations`; why not, where it cannot ride. */
export function guideNumbers(
  record: SlowlaneRecord,
  laneId: string,
  ballId: string,
  deviations: Deviations,
): GuideNumbers | GuideProblem {
  const lane = record.lanes[laneId]
  const ball = record.balls[ballId]
  if (!lane || !ball) throw new Error(`lane ${laneId} or ball ${ballId} is named but not held`)
  const read = (stated: Stated) => valueOf(stated, record.sources, deviations)
  const found = rollingGeometry(guideShape(lane.guide, read), ballBody(ball, read))
  if (found.kind !== 'rides') return found
  return { kind: 'numbers', rollingRadius_m: found.rollingRadius_m, inertiaFactor: found.k }
}

/** A guide of the record as plain numbers; `read` says which value a stated one has. */
export function guideShape(guide: Guide, read: (stated: Stated) => number): GuideShape {
  switch (guide.kind) {
    case 'flat':
      return { kind: 'flat' }
    case 'v-groove':
      return {
        kind: 'v-groove',
        included_rad: read(guide.included_rad),
        ...(guide.roll_rad && { roll_rad: read(guide.roll_rad) }),
        ...(guide.depth_m && { depth_m: read(guide.depth_m) }),
      }
    case 'unequal-v':
      return { kind: 'unequal-v', left_rad: read(guide.left_rad), right_rad: read(guide.right_rad) }
    case 'two-rails':
      return { kind: 'two-rails', railRadius_m: read(guide.railRadius_m), centres_m: read(guide.centres_m) }
    case 'slot':
      return { kind: 'slot', gap_m: read(guide.gap_m), ...(guide.depth_m && { depth_m: read(guide.depth_m) }) }
    case 'channel':
      return { kind: 'channel', radius_m: read(guide.radius_m) }
    case 'typed':
      return { kind: 'typed', rollingRadius_m: read(guide.rollingRadius_m) }
    default:
      return assertNever(guide)
  }
}

/** A ball of the record as plain numbers. */
export function ballBody(ball: Ball, read: (stated: Stated) => number): BallBody {
  return { radius_m: read(ball.diameter_m) / 2, ...(ball.hollow && { hollow: read(ball.hollow) }) }
}
