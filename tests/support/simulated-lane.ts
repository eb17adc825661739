import { laneResults, sourceBookOf, type LaneResult, type SourceBook } from '../../workers/fit/index.ts'
import { speedProportional } from '../../workers/physics/kinematics.ts'
import { acceleration_m_s2 } from '../../workers/physics/motion.ts'
import { rollingGeometry, type Rides } from '../../workers/physics/rolling-geometry.ts'
import type { GuideShape } from '../../workers/physics/shapes.ts'
import type { Guide, SlowlaneRecord, Slope } from '../../workers/record/index.ts'
import { RecordBuilder } from './record-builder.ts'

const exactly = (value: number) => ({ value, sources: [] })

export interface MeasuredLane {
  readonly guide?: GuideShape
  readonly diameter_m?: number
  readonly mass_kg?: number | null
  readonly slope_rad?: number
  readonly slope?: Slope
  readonly crr?: number
  readonly rate_per_s?: number
  /** Sent up the lane from its lower end. */
  readonly uphill?: boolean
  /** Entry speeds of the runs [m/s]. */
  readonly entries_m_s?: readonly number[]
}

export interface Measured {
  readonly record: SlowlaneRecord
  readonly book: SourceBook
  readonly result: LaneResult
  readonly geometry: Rides
  /** Acceleration of the truth at speed 0 [m/s²]. */
  readonly push_m_s2: number
}

/** A lane as it would be measured with perfect marks on every fourth frame at 240 frames a second: 0.66 m long, the ball crossing its whole length. */
export function measuredLane(lane: MeasuredLane = {}): Measured {
  const {
    guide = { kind: 'v-groove', included_rad: Math.PI / 2 },
    diameter_m = 0.016,
    mass_kg = 0.0168,
    slope_rad = (2 * Math.PI) / 180,
    crr = 0.008,
    rate_per_s = 0,
    uphill = false,
    entries_m_s = uphill ? [0.7, 0.75, 0.8] : [0.2, 0.25, 0.3],
  } = lane
  const geometry = rollingGeometry(guide, { radius_m: diameter_m / 2 })
  if (geometry.kind !== 'rides') throw new Error(geometry.kind)
  const builder = new RecordBuilder()
  builder.lane('A', {
    guide: guideOf(guide),
    slope_rad,
    diameter_m: exactly(diameter_m),
    ...(lane.slope && { slope: lane.slope }),
  })
  const ball = builder.record.balls['ball-A']!
  if (mass_kg !== null) ball.mass_kg = exactly(mass_kg)
  const push_m_s2 = acceleration_m_s2(
    { slope_rad: uphill ? -slope_rad : slope_rad, k: geometry.k, g_m_s2: 9.80665 },
    crr,
  )
  for (const v0 of entries_m_s) {
    const way = (t: number) => speedProportional(t, v0, push_m_s2, rate_per_s).s_m
    let frames = 8
    while (way((frames + 1) / 240) < 0.66 && frames < 4000) frames++
    const s = (t: number) => (uphill ? 0.66 - way(t) : way(t))
    builder.run({ lane: 'A', s, to: frames, direction: uphill ? 'up' : 'down' })
  }
  const book = sourceBookOf(builder.record)
  return { record: builder.record, book, result: laneResults(builder.record, book)[0]!, geometry, push_m_s2 }
}

function guideOf(shape: GuideShape): Guide {
  switch (shape.kind) {
    case 'flat':
      return { kind: 'flat' }
    case 'v-groove':
      return {
        kind: 'v-groove',
        included_rad: exactly(shape.included_rad),
        ...(shape.roll_rad !== undefined && { roll_rad: exactly(shape.roll_rad) }),
        ...(shape.depth_m !== undefined && { depth_m: exactly(shape.depth_m) }),
      }
    case 'unequal-v':
      return { kind: 'unequal-v', left_rad: exactly(shape.left_rad), right_rad: exactly(shape.right_rad) }
    case 'two-rails':
      return { kind: 'two-rails', railRadius_m: exactly(shape.railRadius_m), centres_m: exactly(shape.centres_m) }
    case 'slot':
      return {
        kind: 'slot',
        gap_m: exactly(shape.gap_m),
        ...(shape.depth_m !== undefined && { depth_m: exactly(shape.depth_m) }),
      }
    case 'channel':
      return { kind: 'channel', radius_m: exactly(shape.radius_m) }
    case 'typed':
      return { kind: 'typed', rollingRadius_m: exactly(shape.rollingRadius_m) }
  }
}
