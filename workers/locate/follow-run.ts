import { findRuns, type FindOptions, type PathSeed, type Watch, type FindCancelled } from './find-runs.ts'
import type { FrameSource } from './frame-source.ts'
import type { FoundRun, Note } from './found-run.ts'
import { footOnLine, type LaneLine } from './lane-line.ts'

/** A place at which a person saw the ball: on the streak sheet (arc length) or in the picture. */
export type Click =
  { readonly frame: number; readonly s: number } | { readonly frame: number; readonly x: number; readonly y: number }

export interface FollowOptions extends Omit<FindOptions, 'seeds'> {
  /** Frames to look at beyond the clicks, both ways; 600 where absent. */
  readonly reach_frames?: number
}

export type FollowOutcome =
  | { readonly kind: 'followed'; readonly run: FoundRun; readonly notes: readonly Note[] }
  | {
      readonly kind: 'lost'
      readonly reason: 'nothing-there' | 'other-place' | 'no-click'
      readonly notes: readonly Note[]
    }
  | FindCancelled

/** Follows the one ball that passes through the clicks: two or three on a streak, or a single mark. Between clicks their
 *  path itself serves as a trail where the search finds none. */
export async function followRun(
  source: FrameSource,
  line: LaneLine,
  clicks: readonly Click[],
  options: FollowOptions,
  watch: Watch = {},
): Promise<FollowOutcome> {
  const points = clicks
    .map((click) => ({ frame: click.frame, s: 's' in click ? click.s : footOnLine(line, click.x, click.y).s }))
    .sort((a, b) => a.frame - b.frame)
  const first = points[0]
  const last = points[points.length - 1]
  if (!first || !last) return { kind: 'lost', reason: 'no-click', notes: [] }
  const reach = options.reach_frames ?? 600
  const seed = pathThrough(line.id, points, options.time_s)
  const outcome = await findRuns(
    source,
    [line],
    {
      ...options,
      from: Math.max(options.from ?? 0, first.frame - reach),
      to: Math.min(options.to ?? source.frameCount, last.frame + reach + 1),
      ...(seed ? { seeds: [seed] } : {}),
    },
    watch,
  )
  if (outcome.kind === 'cancelled') return outcome
  let best: { run: FoundRun; miss: number } | undefined
  for (const run of outcome.runs) {
    const misses = points.map((point) => missOf(run, point))
    const worst = Math.max(...misses)
    if (!best || worst < best.miss) best = { run, miss: worst }
  }
  if (!best) return { kind: 'lost', reason: 'nothing-there', notes: outcome.notes }
  if (best.miss > best.run.radius_px) return { kind: 'lost', reason: 'other-place', notes: outcome.notes }
  return { kind: 'followed', run: best.run, notes: outcome.notes }
}

/** Distance along the lane of a click from the run at that frame; a run that has no marks near counts from its end. */
function missOf(run: FoundRun, point: { frame: number; s: number }): number {
  const { frames, s } = run
  const n = frames.length
  let after = 0
  while (after < n && frames[after]! < point.frame) after++
  if (after < n && frames[after] === point.frame) return Math.abs(s[after]! - point.s)
  if (after === 0) return Math.abs(s[0]! - point.s) + (frames[0]! - point.frame > 12 ? Infinity : 0)
  if (after === n) return Math.abs(s[n - 1]! - point.s) + (point.frame - frames[n - 1]! > 12 ? Infinity : 0)
  const share = (point.frame - frames[after - 1]!) / (frames[after]! - frames[after - 1]!)
  return Math.abs(s[after - 1]! + share * (s[after]! - s[after - 1]!) - point.s)
}

/** Path in real time through two clicks (straight), three or more (parabolas through neighbouring threes). */
function pathThrough(
  lane: string,
  points: readonly { frame: number; s: number }[],
  time_s: ArrayLike<number>,
): PathSeed | undefined {
  const distinct = points.filter((point, i) => i === 0 || point.frame > points[i - 1]!.frame)
  const first = distinct[0]
  const last = distinct[distinct.length - 1]
  if (!first || !last || distinct.length < 2) return undefined
  const s: number[] = []
  for (let frame = first.frame; frame <= last.frame; frame++) {
    let at = 0
    while (at + 2 < distinct.length && distinct[at + 1]!.frame < frame) at++
    const from = Math.max(0, Math.min(at, distinct.length - 3))
    s.push(lagrange(distinct.slice(from, from + 3), frame, time_s))
  }
  return { lane, firstFrame: first.frame, s }
}

function lagrange(points: readonly { frame: number; s: number }[], frame: number, time_s: ArrayLike<number>): number {
  const t = time_s[frame]!
  return points.reduce((sum, point, i) => {
    const share = points.reduce((product, other, j) => {
      return i === j ? product : (product * (t - time_s[other.frame]!)) / (time_s[point.frame]! - time_s[other.frame]!)
    }, 1)
    return sum + share * point.s
  }, 0)
}
