import { spinOf as spinFrom, way_m } from '../../../workers/measure/spin-of.ts'
import { noDeviations, type Run, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { ridingFigures } from '../lanes/riding.ts'
import type { FoundRun } from './found-runs.ts'

type Spin = NonNullable<Run['spin']>

/** What a found run tells of the ball's turning, in metres; undefined where no pattern turned, or too little. */
export const spinOf = (record: SlowlaneRecord, run: Run, turning: FoundRun['turning']): Run['spin'] =>
  turning.kind === 'turning' ? spinFrom(record, run, turning) : undefined

/** How a run's turning stands against its lane's guide. Lengths in metres, `U` 95 %. */
export interface TurningReport {
  readonly perTurn_m: number
  readonly perTurnU_m: number
  readonly rollingRadius_m: number
  readonly rollingRadiusU_m: number
  readonly turns: number
  readonly guide: null | {
    readonly rollingRadius_m: number
    readonly U_m: number
    /** `slides`: turning falls behind rolling. `turns-more`: more than any rolling ball could, so guide, ball or scale are not as stated. */
    readonly verdict: 'agrees' | 'slides' | 'turns-more'
    /** Measured way per turn over the guide's, less 1. */
    readonly off: number
  }
  /** Scale or marks were changed since the turning was read: by this share of the way. */
  readonly changed: number | null
}

/** A way that has changed by more than this since the turning was read makes it stale. */
const staleShare = 0.003

/** Null where the run's turning was not read. */
export function turningReport(record: SlowlaneRecord, run: Run): TurningReport | null {
  const { spin } = run
  if (!spin) return null
  const turn = 2 * Math.PI
  const now = way_m(record, run, noDeviations)
  const off = now === undefined ? 0 : now / (spin.turns * spin.perTurn_m) - 1
  return {
    perTurn_m: spin.perTurn_m,
    perTurnU_m: 2 * spin.u_m,
    rollingRadius_m: spin.perTurn_m / turn,
    rollingRadiusU_m: (2 * spin.u_m) / turn,
    turns: spin.turns,
    guide: againstGuide(record, run, spin),
    changed: Math.abs(off) > staleShare ? off : null,
  }
}

function againstGuide(record: SlowlaneRecord, run: Run, spin: Spin): TurningReport['guide'] {
  const lane = record.lanes[run.laneId]
  const ball = record.balls[run.ballId]
  const radius = lane && ball && ridingFigures(record, lane.guide, ball)?.rollingRadius_m
  if (!radius || radius.u === null) return null
  const rolling_m = 2 * Math.PI * radius.value
  const U_m = 2 * Math.hypot(spin.u_m, 2 * Math.PI * radius.u)
  const more = spin.perTurn_m - rolling_m
  const verdict = Math.abs(more) <= U_m ? 'agrees' : more > 0 ? 'slides' : 'turns-more'
  return { rollingRadius_m: radius.value, U_m: 2 * radius.u, verdict, off: more / rolling_m }
}
