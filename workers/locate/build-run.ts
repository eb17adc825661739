import { Doubt, type EndReason, type Gap, type GapReason } from './doubts.ts'
import type { FoundRun } from './found-run.ts'
import { honestSigma, type Honesty } from './honest-sigma.ts'
import { besideLine, lineLength_px, pointAt, type LaneLine } from './lane-line.ts'
import type { RawMark } from './locate-passage.ts'
import { median } from './robust.ts'
import { splitAtRests, type Piece } from './split-run.ts'
import { LOOK_CELLS, type SpinSeries } from './spin-series.ts'

export interface BuildContext {
  readonly line: LaneLine
  readonly time_s: ArrayLike<number>
  readonly frameCount: number
  readonly pictureWidth: number
  readonly pictureHeight: number
  readonly refused: ReadonlyMap<number, GapReason>
  /** Frames that only repeat the one before. */
  readonly repeated: ReadonlySet<number>
}

const FEWEST_MARKS = 8

/** Turns the raw marks of one ball into runs: cut at rests and turns, outliers flagged, σ made honest. */
export function buildRuns(all: readonly RawMark[], context: BuildContext): FoundRun[] {
  const marks = all.filter((mark) => !context.repeated.has(mark.frame))
  return splitAtRests(marks)
    .map((piece) => buildRun(marks, piece, context))
    .filter((run) => run !== undefined)
}

function buildRun(marks: readonly RawMark[], piece: Piece, context: BuildContext): FoundRun | undefined {
  const time = (frame: number): number => context.time_s[frame]!
  const { own, honesty } = withoutStrays(marks.slice(piece.from, piece.to), time)
  if (own.length < FEWEST_MARKS) return undefined
  const radius = median(own.map((mark) => mark.radius))
  const way = Math.abs(own[own.length - 1]!.s - own[0]!.s)
  if (way < radius) return undefined
  const n = own.length
  const run = {
    frames: Int32Array.from(own, (mark) => mark.frame),
    s: Float64Array.from(own, (mark) => mark.s),
    x: new Float64Array(n),
    y: new Float64Array(n),
    sigma: honesty.sigma,
    doubt: new Uint8Array(n),
  }
  own.forEach((mark, i) => {
    const at = besideLine(context.line, mark.s, mark.across)
    run.x[i] = at.x
    run.y[i] = at.y
    const off = Math.abs(honesty.residual[i]!)
    run.doubt[i] = mark.doubt | (off > 5 * run.sigma[i]! ? Doubt.outlier : 0)
    // A mark that its neighbours disown says so in its σ too.
    if (off > 3 * run.sigma[i]!) run.sigma[i] = Math.max(run.sigma[i]!, off / 2)
  })
  const clean = own.filter((mark) => mark.doubt === 0)
  return {
    lane: context.line.id,
    direction: piece.direction,
    ...run,
    gaps: gapsOf(own, context),
    starts: endReason(piece.starts, own[0]!, context),
    ends: endReason(piece.ends, own[n - 1]!, context),
    ...(piece.restBefore ? { restBefore: piece.restBefore } : {}),
    ...(piece.restAfter ? { restAfter: piece.restAfter } : {}),
    lag1: honesty.lag1,
    scatter_px: honesty.scatter,
    bound_px: median((clean.length > 0 ? clean : own).map((mark) => mark.bound)),
    radius_px: radius,
    across_px: median(own.map((mark) => mark.across)),
    spin: spinSeries(own),
  }
}

/** Leaves out marks that sit on something else (a post's edge, a spot): far from where all their neighbours in time, none
 *  of them nearer than 4 frames, would have them. What stays is not moved. */
function withoutStrays(
  marks: readonly RawMark[],
  time_s: (frame: number) => number,
): { readonly own: readonly RawMark[]; readonly honesty: Honesty } {
  const honesty = honestSigma(marks, time_s)
  const own = marks.filter((mark, i) => {
    const off = Math.abs(honesty.residual[i]!)
    const limit = Math.max(2, 0.15 * mark.radius, 12 * honesty.scatter)
    return !(off > limit && (mark.doubt !== 0 || off > 2 * limit))
  })
  return { own, honesty: own.length === marks.length ? honesty : honestSigma(own, time_s) }
}

function spinSeries(marks: readonly RawMark[]): SpinSeries {
  const looks = new Uint8Array(marks.length * LOOK_CELLS)
  const wayInRadii = new Float64Array(marks.length)
  marks.forEach((mark, i) => {
    looks.set(mark.look, i * LOOK_CELLS)
    const before = marks[i - 1]
    if (before) wayInRadii[i] = wayInRadii[i - 1]! + (2 * (mark.s - before.s)) / (mark.radius + before.radius)
  })
  return { looks, wayInRadii }
}

function gapsOf(marks: readonly RawMark[], context: BuildContext): Gap[] {
  const gaps: Gap[] = []
  for (let i = 1; i < marks.length; i++) {
    for (let frame = marks[i - 1]!.frame + 1; frame < marks[i]!.frame; frame++) {
      const reason: GapReason = context.repeated.has(frame)
        ? 'repeated-frame'
        : (context.refused.get(frame) ?? 'hidden')
      const last = gaps[gaps.length - 1]
      if (last && last.to === frame - 1 && last.reason === reason) gaps[gaps.length - 1] = { ...last, to: frame }
      else gaps.push({ from: frame, to: frame, reason })
    }
  }
  return gaps
}

function endReason(piece: Piece['starts'], mark: RawMark, context: BuildContext): EndReason {
  if (piece !== 'open') return piece
  const { line } = context
  if (mark.frame <= 1 || mark.frame >= context.frameCount - 2) return 'clip-end'
  const on = pointAt(line, mark.s)
  const reach = 1.5 * mark.radius
  if (on.x < reach || on.y < reach || on.x > context.pictureWidth - reach || on.y > context.pictureHeight - reach) {
    return 'picture-edge'
  }
  if (mark.s - line.arc[0]! < reach || line.arc[0]! + lineLength_px(line) - mark.s < reach) return 'lane-end'
  for (const near of [mark.frame - 1, mark.frame + 1]) if (context.refused.get(near) === 'too-close') return 'touch'
  return 'hidden'
}
