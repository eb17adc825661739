import * as maths from '../elementary/maths.ts'
import { type SlowlaneRecord, noDeviations } from '../record/index.ts'
import { allSources } from './implicit-sources.ts'
import { ownUncertainty } from './independent-parts.ts'
import { laneGeometry } from './lane-geometry.ts'
import type { LaneProblem } from './lane-line.ts'
import { lensOf } from './lens.ts'
import { projectiveScale } from './projective-scale.ts'
import { propagate } from './propagate.ts'
import { laneSources } from './run-sources.ts'
import { bentTapeScale } from './tape-scale.ts'
import { readTicks } from './tick-tape.ts'

export interface TickReport {
  /** Its place among the line's ticks, as recorded. */
  readonly i: number
  readonly s_m: number
  /** What the others say of it less what is typed [m]; null for an end tick, which nothing lies beyond, and where there are only three. */
  readonly off_m: number | null
  /** Standard uncertainty of one tick: its own place and its placing in the picture [m]. */
  readonly u_m: number
}

export interface TapeReport {
  readonly kind: 'tape-report'
  /** From one end of the lane line to the other [m]. */
  readonly length_m: number
  readonly u_m: number
  /** Tape numbers where the lane line starts and ends [m]. */
  readonly from_m: number
  readonly to_m: number
  readonly ticks: readonly TickReport[]
  /** The tick that stands farthest off, where that is more than its placing explains (four standard uncertainties, and 1 mm). */
  readonly worst: TickReport | null
}

/** How well the ticks of a lane agree with one another, each held against what the others say. */
export function tapeReport(record: SlowlaneRecord, viewId: string, laneId: string): TapeReport | LaneProblem {
  const view = record.views[viewId]
  const line = view?.lines[laneId]
  if (!view || !line) return { kind: 'line-missing', viewId, laneId }
  const geometry = laneGeometry(record, viewId, laneId, noDeviations)
  if (geometry.kind !== 'lane') return geometry
  const lens = lensOf(record, view, noDeviations)
  if (lens.kind !== 'lens') return lens
  const read = readTicks(record, view, line, lens, noDeviations)
  if (read.kind !== 'ticks') return read
  const length = propagate(laneSources(record, view, laneId), allSources(record), (deviations) => {
    const moved = laneGeometry(record, viewId, laneId, deviations)
    return moved.kind === 'lane' ? moved.length_m : undefined
  })!
  const u = read.ticks.map((tick) => tick.u)
  const s = read.ticks.map((tick) => tick.s)
  const own = ownUncertainty(line.tickPosition_m, record)
  const last = u.length - 1
  const ticks = read.ticks.map((tick, k): TickReport => {
    const [a, b] = [Math.max(0, k - 1), Math.min(last, k + 1)]
    const u_m = maths.hypot(own, (record.settings.placing_px * (s[b]! - s[a]!)) / (u[b]! - u[a]!))
    const found = k === 0 || k === last || last < 3 ? undefined : withoutIt(line.shape === 'straight', u, s, k)
    return {
      i: tick.i,
      s_m: read.sense * tick.s,
      off_m: found === undefined ? null : read.sense * (found - tick.s),
      u_m,
    }
  })
  const known = ticks.filter((tick) => tick.off_m !== null)
  const farthest = known.reduce<TickReport | null>(
    (worst, tick) => (worst && Math.abs(worst.off_m!) >= Math.abs(tick.off_m!) ? worst : tick),
    null,
  )
  const wrong = farthest !== null && Math.abs(farthest.off_m!) > Math.max(0.001, 4 * farthest.u_m)
  // Tape numbers at the ends: the first tick's own number, less the way from the line's start to it.
  const out = new Float64Array(3)
  const first = line.ticks![read.ticks[0]!.i]!
  geometry.project(first.at.x, first.at.y, out)
  const from_m = first.s_m - read.sense * out[0]!
  return {
    kind: 'tape-report',
    length_m: length.value,
    u_m: length.u,
    from_m,
    to_m: from_m + read.sense * length.value,
    ticks,
    worst: wrong ? farthest : null,
  }
}

/** Where the others put tick k. */
function withoutIt(straight: boolean, u: readonly number[], s: readonly number[], k: number): number | undefined {
  const others = (list: readonly number[]) => list.filter((_, i) => i !== k)
  const scale = straight ? projectiveScale(others(u), others(s)) : bentTapeScale(others(u), others(s), 0)
  return scale?.at(u[k]!)
}
