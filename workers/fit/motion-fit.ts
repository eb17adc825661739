import * as maths from '../elementary/maths.ts'
import { factorRun, joinRuns, solveJoint, type JointFactor } from './block-factor.ts'
import {
  emptyRow,
  fillColumns,
  fillBasis,
  knownDrag,
  ownCount,
  sharedCount,
  stateAt,
  type BasisRow,
  type ModelSpec,
  type RunContext,
} from './motion-basis.ts'
import { fitRun, type RunSeries } from './run-fit.ts'

/** A model brought as close as can be to the marks of all runs of a series. */
export interface MotionFit {
  readonly spec: ModelSpec
  readonly contexts: readonly RunContext[]
  readonly own: readonly Float64Array[]
  readonly shared: Float64Array
  readonly joint: JointFactor
  readonly series: readonly RunSeries[]
  /** Room for one row of the basis, used over and over. */
  readonly scratch: BasisRow
}

const mostSteps = 12

/** Fits a model. Undefined where the marks do not determine its parameters, or the speed-proportional part does not settle. */
export function fitMotion(
  spec: ModelSpec,
  series: readonly RunSeries[],
  travel: 1 | -1,
  start?: MotionFit,
): MotionFit | undefined {
  const contexts: RunContext[] = []
  for (const [i, one] of series.entries()) {
    const context = start ? scaledContext(start.contexts[i]!, start.series[i]!, one) : contextOf(spec, one, travel)
    if (!context) return undefined
    contexts.push(context)
  }
  if (spec.kind === 'dry-and-viscous') return settle(spec, contexts, series, start)
  const joint = factor(spec, contexts, series, null)
  if (!joint) return undefined
  const y = series.map((one, i) => observed(spec, contexts[i]!, one))
  return { spec, contexts, ...solveJoint(joint, y, sigmas(series)), joint, series, scratch: emptyRow(spec) }
}

/** The same model on moved marks: parameters follow, decisions stay. */
export function refitMotion(fit: MotionFit, series: readonly RunSeries[]): MotionFit | undefined {
  const stretch = commonStretchOf(fit.series, series)
  if (stretch === null) return fitMotion(fit.spec, series, fit.contexts[0]!.travel, fit)
  const { spec } = fit
  if (stretch !== 1 && spec.kind === 'known-drag') return fitMotion(spec, series, fit.contexts[0]!.travel, fit)
  const solved =
    spec.kind === 'dry-and-viscous'
      ? // One step from the settled place: the change of the marks is small.
        added(fit, solveJoint(fit.joint, misfits(fit, series, stretch), sigmas(series)))
      : solveJoint(
          fit.joint,
          series.map((one, i) => observed(spec, fit.contexts[i]!, one)),
          sigmas(series),
        )
  if (stretch === 1) return { ...fit, series, ...solved }
  // The same places at times stretched alike: speeds go with 1/stretch, accelerations with its square, a rate with 1/stretch.
  return {
    ...fit,
    series,
    contexts: fit.contexts.map((context, i) => scaledContext(context, fit.series[i]!, series[i]!)),
    own: solved.own.map((own) => own.map((value, k) => value / maths.pow(stretch, k))),
    shared: solved.shared.map((value, k) =>
      spec.kind === 'dry-and-viscous' && k === solved.shared.length - 1 ? value / stretch : value / stretch ** 2,
    ),
  }
}

/** The factor by which all times of all runs are stretched; null where it is not one factor. */
function commonStretchOf(base: readonly RunSeries[], moved: readonly RunSeries[]): number | null {
  let common: number | null = null
  for (const [i, { t_s: t }] of moved.entries()) {
    const b = base[i]!.t_s
    const [last, middle] = [t.length - 1, t.length >> 1]
    const stretch = (t[last]! - t[0]!) / (b[last]! - b[0]!)
    common ??= stretch
    const bend = t[middle]! - t[0]! - stretch * (b[middle]! - b[0]!)
    if (Math.abs(stretch - common) > 1e-12 || Math.abs(bend) > 1e-12 * (t[last]! - t[0]!)) return null
  }
  return common === null || Math.abs(common - 1) < 1e-14 ? 1 : common
}

/** Residuals in units of the marks' stated uncertainty. */
export function residualsOf(fit: MotionFit): Float64Array[] {
  if (fit.spec.kind !== 'dry-and-viscous' && fit.spec.kind !== 'known-drag') return linearResiduals(fit)
  return misfits(fit, fit.series).map((r, i) => r.map((value, j) => value / fit.series[i]!.sigma_m[j]!))
}

/** The same for a model that is linear in its parameters: y − Q·(R·x), without the basis. */
function linearResiduals({ joint, own, shared, series }: MotionFit): Float64Array[] {
  return joint.runs.map(({ q, r, size, own: count }, i) => {
    const { s_m, sigma_m } = series[i]!
    const result = new Float64Array(s_m.length)
    for (let j = 0; j < result.length; j++) result[j] = s_m[j]! / sigma_m[j]!
    for (let k = 0; k < size; k++) {
      let along = 0
      for (let l = k; l < size; l++) along += r[k * size + l]! * (l < count ? own[i]![l]! : shared[l - count]!)
      const direction = q[k]!
      for (let j = 0; j < result.length; j++) result[j]! -= along * direction[j]!
    }
    return result
  })
}

/** When [s from the run's middle time] run i passes a place; undefined where it turns before. */
export function timeAt(fit: MotionFit, i: number, at_m: number): number | undefined {
  const row = fit.scratch
  const { t_s } = fit.series[i]!
  const context = fit.contexts[i]!
  const [first, last] = [t_s[0]! - context.middle_s, t_s[t_s.length - 1]! - context.middle_s]
  const reach = last - first
  let tau = 0
  for (let step = 0; step < 60; step++) {
    const { s_m, v_m_s, a_m_s2 } = stateAt(fit.spec, context, fit.own[i]!, fit.shared, tau, row)
    const miss = at_m - s_m
    if (!(v_m_s * context.travel > 0)) return undefined
    // Root of the local parabola; where it turns before the place, the nearest approach is tried from half way.
    const square = v_m_s * v_m_s + 2 * a_m_s2 * miss
    const next =
      square > 0 ? tau + (2 * miss) / (v_m_s + context.travel * Math.sqrt(square)) : tau - v_m_s / (2 * a_m_s2)
    if (next < first - reach || next > last + reach || Number.isNaN(next)) return undefined
    if (Math.abs(next - tau) < 1e-13 * reach) return next
    tau = next
  }
  return tau
}

/** Speed [m/s, positive] of run i at a place; undefined where it is never there. */
export function speedAtPlace(fit: MotionFit, i: number, at_m: number): number | undefined {
  const tau = timeAt(fit, i, at_m)
  if (tau === undefined) return undefined
  const context = fit.contexts[i]!
  const speed = context.travel * stateAt(fit.spec, context, fit.own[i]!, fit.shared, tau, fit.scratch).v_m_s
  return speed > 0 ? speed : undefined
}

/**
 * How much the squares of a constant-acceleration fit would fall with a part of the deceleration that goes with speed, to first order: the score test.
 * Tells without iterating whether that model is worth settling.
 */
export function gainOfSpeedPart(plain: MotionFit): number {
  const ownAcceleration = plain.spec.ownAcceleration
  const runs = plain.series.map(({ t_s, sigma_m }, i) => {
    const context = plain.contexts[i]!
    const own = plain.own[i]!
    const [v, a] = [own[1]!, ownAcceleration ? own[2]! : plain.shared[0]!]
    const columns = Array.from({ length: 4 }, () => new Float64Array(t_s.length))
    fillColumns(plain.spec, context, t_s, columns)
    // ∂s/∂rate at rate 0: −∬(v + aτ).
    const rate = columns[3]!
    for (let j = 0; j < rate.length; j++) {
      const tau = t_s[j]! - context.middle_s
      rate[j] = -tau * tau * (v / 2 + (a * tau) / 6)
    }
    return factorRun({ columns, own: own.length }, sigma_m)
  })
  const joint = joinRuns(runs)
  if (!joint) return 0
  const y = misfits(plain, plain.series)
  const { own, shared } = solveJoint(joint, y, sigmas(plain.series))
  return explained(joint, own, shared)
}

/** Squares that a change of the parameters explains: ‖R·x‖² over all runs. */
function explained(joint: JointFactor, own: readonly Float64Array[], shared: Float64Array): number {
  let sum = 0
  for (const [i, { r, size, own: count }] of joint.runs.entries())
    for (let a = 0; a < size; a++) {
      let row = 0
      for (let b = a; b < size; b++) row += r[a * size + b]! * (b < count ? own[i]![b]! : shared[b - count]!)
      sum += row * row
    }
  return sum
}

function settle(
  spec: ModelSpec,
  contexts: readonly RunContext[],
  series: readonly RunSeries[],
  start: MotionFit | undefined,
): MotionFit | undefined {
  let fit: MotionFit
  if (start) fit = { ...start, contexts, series }
  else {
    const plain = fitMotion({ ...spec, kind: 'constant-acceleration' }, series, contexts[0]!.travel)
    if (!plain) return undefined
    fit = { ...plain, spec, contexts, shared: Float64Array.of(...plain.shared, 0), scratch: emptyRow(spec) }
  }
  let best = squaresOf(fit)
  for (let step = 0; step < mostSteps; step++) {
    const joint = factor(spec, contexts, series, fit)
    if (!joint) return undefined
    fit = { ...fit, joint }
    const change = solveJoint(joint, misfits(fit, series), sigmas(series))
    let factorOfStep = 1
    let next = { ...fit, ...added(fit, change) }
    let now = squaresOf(next)
    while (!(now <= best * (1 + 1e-12)) && factorOfStep > 1e-3) {
      factorOfStep /= 4
      next = { ...fit, ...added(fit, change, factorOfStep) }
      now = squaresOf(next)
    }
    if (!(now <= best * (1 + 1e-9))) return undefined
    const rate = fit.shared.length - 1
    const moved = Math.abs(next.shared[rate]! - fit.shared[rate]!)
    fit = next
    best = now
    if (moved < 1e-9 * (Math.abs(fit.shared[rate]!) + 1e-3)) return fit
  }
  return undefined
}

function added(
  fit: MotionFit,
  change: { readonly own: readonly Float64Array[]; readonly shared: Float64Array },
  factorOfStep = 1,
): Pick<MotionFit, 'own' | 'shared'> {
  return {
    own: fit.own.map((own, i) => own.map((value, k) => value + factorOfStep * change.own[i]![k]!)),
    shared: fit.shared.map((value, k) => value + factorOfStep * change.shared[k]!),
  }
}

function factor(
  spec: ModelSpec,
  contexts: readonly RunContext[],
  series: readonly RunSeries[],
  at: Pick<MotionFit, 'own' | 'shared'> | null,
): JointFactor | undefined {
  const own = ownCount(spec)
  const size = own + sharedCount(spec)
  const row = emptyRow(spec)
  const none = new Float64Array(size)
  const runs = series.map(({ t_s, sigma_m }, i) => {
    const columns = Array.from({ length: size }, () => new Float64Array(t_s.length))
    if (fillColumns(spec, contexts[i]!, t_s, columns)) return factorRun({ columns, own }, sigma_m)
    for (let j = 0; j < t_s.length; j++) {
      fillBasis(spec, contexts[i]!, at?.own[i] ?? none, at?.shared ?? none, t_s[j]! - contexts[i]!.middle_s, row)
      for (let k = 0; k < size; k++) columns[k]![j] = row.s[k]!
    }
    return factorRun({ columns, own }, sigma_m)
  })
  return joinRuns(runs)
}

function observed(spec: ModelSpec, context: RunContext, { t_s, s_m }: RunSeries): Float64Array {
  if (spec.kind !== 'known-drag' || spec.drag_per_m === 0) return s_m
  return s_m.map((s, j) => s + knownDrag(spec, context, t_s[j]! - context.middle_s)[0])
}

/** Places less those of the fit; `stretch`: the times are the fit's own, stretched. */
function misfits(fit: MotionFit, series: readonly RunSeries[], stretch = 1): Float64Array[] {
  const row = fit.scratch
  return series.map(({ t_s, s_m }, i) => {
    const context = fit.contexts[i]!
    const times = stretch === 1 ? t_s : fit.series[i]!.t_s
    return s_m.map(
      (s, j) => s - stateAt(fit.spec, context, fit.own[i]!, fit.shared, times[j]! - context.middle_s, row).s_m,
    )
  })
}

function squaresOf(fit: MotionFit): number {
  let sum = 0
  for (const r of residualsOf(fit)) for (const value of r) sum += value * value
  return sum
}

const sigmas = (series: readonly RunSeries[]) => series.map(({ sigma_m }) => sigma_m)

/** Middle time of a run, and for local models when it crosses the borders of the pieces, from its own parabola. */
function contextOf(spec: ModelSpec, series: RunSeries, travel: 1 | -1): RunContext | undefined {
  const run = fitRun(series)
  if (!run) return undefined
  const a = run.curvature_m_s2
  const v = run.slope_m_s - a * run.skew
  return {
    middle_s: run.middle_s,
    travel,
    pieces: spec.kind === 'local' ? piecesOf(spec.knots_m, series, run.middle_s, travel) : [],
    dragAt: [v, a],
  }
}

/** Borders are crossed where the marks, joined by straight lines and freed of steps back by noise, pass them. */
function piecesOf(
  knots: readonly number[],
  { t_s, s_m }: RunSeries,
  middle: number,
  travel: 1 | -1,
): [number, number][] {
  const n = t_s.length
  const crossing = (at_m: number): number => {
    let before = 0
    while (before + 1 < n && travel * s_m[before + 1]! < travel * at_m) before++
    let after = n - 1
    while (after - 1 > 0 && travel * s_m[after - 1]! > travel * at_m) after--
    const [low, high] = [Math.min(before, after), Math.max(before, after)]
    const [sLow, sHigh] = [s_m[low]!, s_m[high]!]
    const share = sHigh === sLow ? 0.5 : Math.min(1, Math.max(0, (at_m - sLow) / (sHigh - sLow)))
    return t_s[low]! + share * (t_s[high]! - t_s[low]!) - middle
  }
  const times = knots.slice(1, -1).map(crossing)
  const borders = travel > 0 ? [-Infinity, ...times, Infinity] : [Infinity, ...times, -Infinity]
  return borders.slice(1).map((border, k): [number, number] => {
    const other = borders[k]!
    return other < border ? [other, border] : [border, other]
  })
}

/** The context of moved marks: the same places, at times stretched as the marks' are. */
function scaledContext(context: RunContext, base: RunSeries, moved: RunSeries): RunContext {
  const n = base.t_s.length
  const stretch = (moved.t_s[n - 1]! - moved.t_s[0]!) / (base.t_s[n - 1]! - base.t_s[0]!)
  return {
    ...context,
    middle_s: moved.t_s[0]! + (context.middle_s - base.t_s[0]!) * stretch,
    pieces: context.pieces.map(([low, high]) => [low * stretch, high * stretch] as const),
    dragAt: [context.dragAt[0] / stretch, context.dragAt[1] / stretch ** 2],
  }
}
