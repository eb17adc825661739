import { Doubt } from './doubts.ts'
import type { RawMark } from './locate-passage.ts'
import { fitTrend, median, robustScatter, solveSymmetric, trendAt, trendBeyond } from './robust.ts'

export interface Honesty {
  /** σ of each mark, px. */
  readonly sigma: Float64Array
  /** Correlation of neighbouring marks' errors, −1 … 1. */
  readonly lag1: number
  /** Robust scatter about a local cubic in real time, px. */
  readonly scatter: number
  /** Residual of each mark to the local cubic through its neighbours, px (NaN where neighbours are too few). */
  readonly residual: Float64Array
}

/** Marks that close in time share their compression error, so the local cubic leaves them out. */
const APART_FRAMES = 4
const REACH_FRAMES = 36
/** Shading and background leave a pattern so slow along the lane that no neighbour shows it, but the width does: left and right edge are moved
 *  by it each in its own way. On rendered clips with known truth the place's slow error is mostly .4 … 1.2 of the width's, and at least this, px. */
const SLOW_PATTERN_PX = 0.02
const SLOW_SHARE = 0.5
const ONE_EDGE_FACTOR = 2.2
/** Marks whose outline fits badly or whose edge is faint scatter this much more than their fit says: 1.1 … 1.9 on rendered clips with known truth. */
const DOUBTFUL_FACTOR = 1.5
/** Share of the smear by which all marks on a smeared ball may be off together, through its size and light. From a rendered clip with known
 *  truth, searched for with eight sizes to begin with: 94 … 100 % of its marks lie within 2σ. */
const SMEAR_SHARE = 0.016

/** Where more marks than usual are doubted, what disturbs them moves both edges alike, and the other marks too (what is seen through a glass ball), so
 *  that neither scatter nor width tell: σ grows by so much of itself for the share of marks doubted beyond the usual one. From rendered glass balls
 *  before nine walls. */
const USUALLY_DOUBTED = 0.25
const WARY = 1.8

/** σ of each mark from what the marks themselves show: scatter about a local cubic in real time and scatter of the
 *  measured half-width, ranked mildly by the formal σ. */
export function honestSigma(marks: readonly RawMark[], time_s: (frame: number) => number): Honesty {
  const n = marks.length
  const time = Float64Array.from(marks, ({ frame }) => time_s(frame))
  const residual = Float64Array.from({ length: n }, (_, i) => localResidual(marks, i, time))
  const clean = marks.map((m, i) => ({ m, e: residual[i]! })).filter(({ m, e }) => m.doubt === 0 && !Number.isNaN(e))
  const enough = clean.length >= 12
  const pool = enough ? clean.map(({ e }) => e) : [...residual].filter((e) => !Number.isNaN(e))
  const scatter = pool.length >= 6 ? clippedScatter(pool) : NaN
  const width = widthScatter(marks)
  const quick = Math.max(Number.isNaN(scatter) ? 0 : scatter, 0.7 * width.quick, 0.01)
  const doubted = marks.filter((m) => (m.doubt & ~Doubt.blurred) !== 0).length / n
  const wary = 1 + WARY * Math.max(0, doubted - USUALLY_DOUBTED)
  const base = wary * Math.hypot(quick, Math.max(SLOW_PATTERN_PX, SLOW_SHARE * width.slow))
  const usual =
    median(marks.filter((m) => (m.doubt & Doubt.oneEdge) === 0).map((m) => m.formal)) ||
    median(marks.map((m) => m.formal))
  const apart = stretchesApart(marks, time)
  const sigma = Float64Array.from(marks, (m, i) => {
    const rank = Math.min(5, Math.max(0.7, m.formal / usual))
    const oneEdge = (m.doubt & Doubt.oneEdge) !== 0
    // One edge shares in whatever the half-width does along the passage.
    const sharp = oneEdge
      ? Math.max(base * Math.max(ONE_EDGE_FACTOR, rank), Math.hypot(base, 1.2 * width.all))
      : base * rank * ((m.doubt & (Doubt.poorFit | Doubt.weakContrast)) !== 0 ? DOUBTFUL_FACTOR : 1)
    return Math.hypot(sharp, SMEAR_SHARE * m.smear_px, apart[i]!)
  })
  return { sigma, lag1: neighbourCorrelation(marks, residual), scatter: base, residual }
}

interface WidthScatter {
  /** About the running middle of neighbours, of that running middle about a straight line, and altogether, px. */
  readonly quick: number
  readonly slow: number
  readonly all: number
}

const REACH_MARKS = 12

function widthScatter(marks: readonly RawMark[]): WidthScatter {
  const seen = marks.filter((mark) => !Number.isNaN(mark.halfWidth))
  if (seen.length < 12) return { quick: 0, slow: 0, all: 0 }
  const widths = seen.map((mark) => mark.halfWidth)
  const running = widths.map((_, i) => median(widths.slice(Math.max(0, i - REACH_MARKS), i + REACH_MARKS + 1)))
  const at = seen.map((mark) => mark.s)
  const line = fitTrend(at, running, 1)
  const bends = running.map((w, i) => w - trendAt(line, at[i]!))
  return {
    quick: robustScatter(widths.map((w, i) => w - running[i]!)),
    slow: robustScatter(bends),
    all: robustScatter(widths),
  }
}

/** Standard deviation about zero, values beyond three of their robust scatter counted as three of it: from few values surer than the robust scatter. */
function clippedScatter(values: readonly number[]): number {
  const most = 3 * robustScatter(values)
  return Math.sqrt(values.reduce((sum, e) => sum + Math.min(most, Math.abs(e)) ** 2, 0) / values.length)
}

/** Residual of one mark to the cubic through its neighbours. `time`: of all marks, s. */
function localResidual(marks: readonly RawMark[], i: number, time: Float64Array): number {
  const here = marks[i]!
  const t0 = time[i]!
  const span = Math.max(
    t0 - time[Math.max(0, i - REACH_FRAMES)]!,
    time[Math.min(marks.length - 1, i + REACH_FRAMES)]! - t0,
  )
  // Moments of the neighbours' times and places about this mark: all that a cubic needs.
  let [m0, m1, m2, m3, m4, m5, m6] = [0, 0, 0, 0, 0, 0, 0]
  let [r0, r1, r2, r3] = [0, 0, 0, 0]
  let before = 0
  for (let step = -1; step <= 1; step += 2) {
    let lastFrame = here.frame
    for (let j = i + step; j >= 0 && j < marks.length; j += step) {
      const mark = marks[j]!
      if (Math.abs(mark.frame - here.frame) > REACH_FRAMES) break
      if (Math.abs(mark.frame - lastFrame) < APART_FRAMES) continue
      lastFrame = mark.frame
      if (step < 0) before++
      const t = (time[j]! - t0) / span
      const tt = t * t
      const y = mark.s - here.s
      m0 += 1
      m1 += t
      m2 += tt
      m3 += tt * t
      m4 += tt * tt
      m5 += tt * tt * t
      m6 += tt * tt * tt
      r0 += y
      r1 += t * y
      r2 += tt * y
      r3 += tt * t * y
    }
  }
  if (m0 < 8 || before < 3 || m0 - before < 3) return NaN
  const normal = [m0, m1, m2, m3, m1, m2, m3, m4, m2, m3, m4, m5, m3, m4, m5, m6]
  const solved = solveSymmetric(normal, [r0, r1, r2, r3], 4)
  const lever = solveSymmetric(normal, [1, 0, 0, 0], 4)
  if (!solved || !lever) return NaN
  // Prediction error of a mark left out: its own σ² plus that of the cubic at its place.
  return -solved[0]! / Math.sqrt(1 + lever[0]!)
}

/** One-edge marks nearer to each other than this are one stretch, frames. */
const STRETCH_GAP_FRAMES = 8
const FEWEST_BESIDE = 6
const FEWEST_BEFORE = 24

/** How far a stretch of marks on one edge lies from where sure marks before and after it would have the ball, px: such marks agree with each other even
 *  where the edge they rest on is none (a reflection's on a steel ball), so that no scatter tells. 0 where there is nothing to compare. */
function stretchesApart(marks: readonly RawMark[], time: Float64Array): Float64Array {
  const apart = new Float64Array(marks.length)
  const all = [...marks.keys()]
  const oneEdge = all.filter((i) => (marks[i]!.doubt & Doubt.oneEdge) !== 0)
  const frameOf = (at: number): number => marks[oneEdge[at]!]!.frame
  const sure = all.filter((i) => marks[i]!.doubt === 0)
  const within = (low: number, high: number): number[] =>
    sure.filter((i) => marks[i]!.frame >= low && marks[i]!.frame <= high)
  for (let from = 0, to = 0; from < oneEdge.length; from = to) {
    to = from + 1
    while (to < oneEdge.length && frameOf(to) - frameOf(to - 1) <= STRETCH_GAP_FRAMES) to++
    const [first, last] = [frameOf(from), frameOf(to - 1)]
    const before = within(first - REACH_FRAMES, first - 1)
    const after = within(last + 1, last + REACH_FRAMES)
    const between = before.length >= FEWEST_BESIDE && after.length >= FEWEST_BESIDE
    // At an end of the run there is one side only: from far enough back a parabola reaches half as far on.
    const back = Math.max(2 * (last - first + 1), 2 * REACH_FRAMES)
    const side = before.length > after.length ? within(first - back, first - 1) : within(last + 1, last + back)
    if (!between && (side.length < FEWEST_BEFORE || side.length < back / 2)) continue
    const beside = between ? within(first - REACH_FRAMES, last + REACH_FRAMES) : side
    const path = fitTrend(
      beside.map((i) => time[i]!),
      beside.map((i) => marks[i]!.s),
      between ? 3 : 2,
    )
    const stretch = oneEdge.slice(from, to)
    const off = Math.abs(median(stretch.map((i) => marks[i]!.s - trendBeyond(path, time[i]!))))
    // The edge is the ball's, or one on it or right beside it.
    for (const i of stretch) apart[i] = Math.min(off, marks[i]!.radius)
  }
  return apart
}

function neighbourCorrelation(marks: readonly RawMark[], residual: Float64Array): number {
  const cut = 4 * robustScatter([...residual].filter((e) => !Number.isNaN(e)))
  let cross = 0
  let power = 0
  let pairs = 0
  let count = 0
  for (let i = 0; i < marks.length; i++) {
    const e = residual[i]!
    if (Number.isNaN(e) || Math.abs(e) > cut) continue
    power += e * e
    count++
    const next = residual[i + 1]
    if (next === undefined || Number.isNaN(next) || Math.abs(next) > cut) continue
    if (marks[i + 1]!.frame !== marks[i]!.frame + 1) continue
    cross += e * next
    pairs++
  }
  return pairs < 8 || power === 0 ? 0 : Math.max(-1, Math.min(1, cross / pairs / (power / count)))
}
