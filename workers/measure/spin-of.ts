import * as maths from '../elementary/maths.ts'
import {
  noDeviations,
  standardUncertainty,
  valueOf,
  type Deviations,
  type Run,
  type SlowlaneRecord,
} from '../record/index.ts'
import { allSources } from './implicit-sources.ts'
import { laneGeometry } from './lane-geometry.ts'
import { propagate } from './propagate.ts'
import { laneSources } from './run-sources.ts'
import { steadied } from './shake-track.ts'

type Spin = NonNullable<Run['spin']>

/** What a ball's pattern told of its turning: way per turn and its standard uncertainty in radii of the ball, and turns from the first mark to the last. */
export interface Turning {
  readonly perTurn: number
  readonly u: number
  readonly turns: number
}

/** Way along the lane from a run's first mark to its last [m], with the sources moved; undefined without a scale. */
export function way_m(record: SlowlaneRecord, run: Run, deviations: Deviations): number | undefined {
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
 * radius. Undefined where there is neither a scale nor a ball.
 */
export function spinOf(record: SlowlaneRecord, run: Run, turning: Turning): Spin | undefined {
  const { turns } = turning
  const own = turning.u / turning.perTurn
  const view = record.views[run.viewId]
  const way = view && propagate(laneSources(record, view, run.laneId), allSources(record), (d) => way_m(record, run, d))
  if (way && way.value > 0) {
    const perTurn_m = way.value / turns
    return { perTurn_m, u_m: perTurn_m * maths.hypot(own, way.u / way.value), turns }
  }
  const ball = record.balls[run.ballId]
  if (!ball) return undefined
  const diameter = valueOf(ball.diameter_m, record.sources, noDeviations)
  const ids = ball.diameter_m.sources
  const ofBall = ids.reduce((sum, id) => {
    const source = record.sources[id]
    if (!source) return sum
    const moved = new Map([[id, standardUncertainty(source.distribution)]])
    return maths.hypot(sum, valueOf(ball.diameter_m, record.sources, moved) / diameter - 1)
  }, 0)
  const perTurn_m = (turning.perTurn * diameter) / 2
  return { perTurn_m, u_m: perTurn_m * maths.hypot(own, outlineShare, ofBall), turns }
}
