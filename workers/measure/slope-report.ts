import { type SlowlaneRecord, noDeviations } from '../record/index.ts'
import { allSources } from './implicit-sources.ts'
import { type Propagated, propagate } from './propagate.ts'
import { slopeSources } from './run-sources.ts'
import { type SlopeFound, type SlopeProblem, slopeOf } from './slope.ts'

export interface SlopeReport {
  readonly kind: 'slope-report'
  readonly slope: SlopeFound
  /** The whole lane's slope [rad] with its standard uncertainty. */
  readonly whole: Propagated
  /** Read from the picture, the lane is level to within its uncertainty (2 u): which way it falls is not told. */
  readonly readsLevel: boolean
}

/** A mounting's slope with its uncertainty. */
export function slopeReport(record: SlowlaneRecord, mountingId: string): SlopeReport | SlopeProblem {
  const mounting = record.mountings[mountingId]
  if (!mounting) throw new Error(`the record holds no mounting ${mountingId}`)
  const slope = slopeOf(record, mounting, noDeviations)
  if (slope.kind !== 'slope') return slope
  const whole = propagate(slopeSources(record, mountingId), allSources(record), (deviations) => {
    const moved = slopeOf(record, mounting, deviations)
    return moved.kind === 'slope' ? moved.slope_rad : undefined
  })!
  const readsLevel = mounting.slope.kind === 'from-picture' && Math.abs(whole.value) < 2 * whole.u
  return { kind: 'slope-report', slope, whole, readsLevel }
}
