import { laneGeometry } from '../../../workers/measure/lane-geometry.ts'
import { allSources } from '../../../workers/measure/implicit-sources.ts'
import { propagate } from '../../../workers/measure/propagate.ts'
import { laneSources } from '../../../workers/measure/run-sources.ts'
import { steadied } from '../../../workers/measure/shake-track.ts'
import {
  standardUncertainty,
  valueOf,
  noDeviations,
  type Deviations,
  type Run,
  type SlowlaneRecord,
} from '../../../workers/record/index.ts'
import { ridingFigures } from '../lanes/riding.ts'
import type { FoundRun } from './found-runs.ts'

type Spin = NonNullable<Run['spin']>

/** Way along the lane from a run's first mark to its last [m], with the sources moved; undefined without a scale. */
function way_m(record: SlowlaneRecord, run: Run, deviations: Deviations): number | undefined {
  const geometry = laneGeometry(record, run.viewId, run.laneId, deviations)
  const last = run.marks.frame.length - 1
  if (geometry.kind !== 'lane' || last < 1) return undefined
  const track = record.clips[run.clipId]?.shake
  const steady = track && steadied(track)
  const on = new Float64Array(3)
  const at = (i: number): number => {
    const x = run.marks.x[i]!
    const y = run.marks.y[i]!
    const place = steady ? steady(run.marks.frame[i]!, x, y) : { x, y }
    geometry.project(place.x, place.y, on)
    return on[0]!
  }
  return Math.abs(at(last) - at(0))
}

/** Without a scale the ball itself is the rule; its outline in the picture is known to about so much (standard uncertainty, share). */
const outlineShare = 0.01

/**
 * What a found run tells of the ball's turning, in metres: its way by the lane's scale over the turns seen, or, without a scale, by the ball's own
 * radius. Undefined where no pattern turned, or too little.
 */
export function spinOf(record: SlowlaneRecord, run: Run, turning: FoundRun['turning']): Spin | undefined {
  if (turning.kind !== 'turning') return undefined
  const { turns } = turning
  const own = turning.u / turning.perTurn
  const view = record.views[run.viewId]
  const way = view && propagate(laneSources(record, view, run.laneId), allSources(record), (d) => way_m(record, run, d))
  if (way && way.value > 0) {
    const perTurn_m = way.value / turns
    return { perTurn_m, u_m: perTurn_m * Math.hypot(own, way.u / way.value), turns }
  }
  const ball = record.balls[run.ballId]
  if (!ball) return undefined
  const diameter = valueOf(ball.diameter_m, record.sources, noDeviations)
  const ids = ball.diameter_m.sources
  const ofBall = ids.reduce((sum, id) => {
    const source = record.sources[id]
    if (!source) return sum
    const moved = new Map([[id, standardUncertainty(source.distribution)]])
    return Math.hypot(sum, valueOf(ball.diameter_m, record.sources, moved) / diameter - 1)
  }, 0)
  const perTurn_m = (turning.perTurn * diameter) / 2
  return { perTurn_m, u_m: perTurn_m * Math.hypot(own, outlineShare, ofBall), turns }
}

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
