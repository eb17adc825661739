import type { SlowlaneRecord } from '../record/index.ts'
import { emptyRow, ownCount, sharedCount, stateAt, type ModelKind, type ModelSpec } from './motion-basis.ts'
import { fitMotion, gainOfSpeedPart, residualsOf, type MotionFit } from './motion-fit.ts'
import { fitRun, type RunSeries } from './run-fit.ts'

export type WantedModel = SlowlaneRecord['settings']['models'][string]

/** A model fitted to a series, or why it was not. */
export interface Attempt {
  readonly spec: ModelSpec
  readonly parameters: number
  /** More marks than the model needs, with some to spare. */
  readonly enough: boolean
  /** Whether the score test gives it a chance; such models are not iterated otherwise. */
  readonly promising: boolean
  readonly fit: MotionFit | undefined
  /** In units of σ. */
  readonly residuals: readonly Float64Array[] | undefined
  readonly squares: number | null
}

/** A flexible model must be better than a simpler one by this much of the criterion. */
export const neededGain: Readonly<Record<ModelKind, number>> = {
  'constant-velocity': 0,
  'constant-acceleration': 0,
  'known-drag': 0,
  'dry-and-viscous': 2,
  local: 8,
}

/** What all attempts on a series share. */
export interface Ground {
  readonly series: readonly RunSeries[]
  readonly travel: 1 | -1
  readonly drag_per_m: number
  readonly knots_m: readonly number[]
  readonly marks: number
}

export function specOf({ knots_m, drag_per_m }: Ground, kind: ModelKind, ownAcceleration: boolean): ModelSpec {
  return {
    kind,
    ownAcceleration,
    knots_m: kind === 'local' ? knots_m : [],
    drag_per_m: kind === 'known-drag' ? drag_per_m : 0,
  }
}

/** Fits one model as given. */
export function attempt(ground: Ground, kind: ModelKind, ownAcceleration: boolean): Attempt {
  const { series, marks, travel } = ground
  const spec = specOf(ground, kind, ownAcceleration)
  const parameters = series.length * ownCount(spec) + sharedCount(spec)
  const spare = kind === 'local' ? 2 * sharedCount(spec) : kind === 'dry-and-viscous' ? 3 : 0
  const enough = marks - parameters >= Math.max(1, spare) && series.every(({ t_s }) => t_s.length > ownCount(spec))
  const fit = enough || kind === 'constant-acceleration' ? fitMotion(spec, series, travel) : undefined
  const residuals = fit && residualsOf(fit)
  return { spec, parameters, enough, promising: true, fit, residuals, squares: residuals ? squaresOf(residuals) : null }
}

/** A speed-proportional part on top of a constant acceleration: iterated only where white marks could gain the criterion's penalty by it. */
export function attemptSpeedPart(ground: Ground, plain: Attempt, wanted: WantedModel): Attempt {
  const asked = wanted === 'dry-and-viscous' || wanted === 'terminal-speed'
  const needed = ((plain.squares ?? 0) / ground.marks) * (2 + neededGain['dry-and-viscous'])
  if (asked || (plain.fit && gainOfSpeedPart(plain.fit) > needed))
    return attempt(ground, 'dry-and-viscous', plain.spec.ownAcceleration)
  const spec = specOf(ground, 'dry-and-viscous', plain.spec.ownAcceleration)
  return unfitted(ground, spec, { promising: false, residuals: undefined, squares: null })
}

/** A constant speed, which nobody takes for a rolling ball unless asked: its squares follow from the parabolas. */
export function attemptConstantSpeed(ground: Ground, wanted: WantedModel): Attempt {
  if (wanted === 'constant-velocity') return attempt(ground, 'constant-velocity', false)
  const residuals = ground.series.map((one) => {
    const run = fitRun(one)
    const { t_s, s_m, sigma_m } = one
    if (!run) return new Float64Array(t_s.length)
    return s_m.map((s, j) => (s - run.level_m - run.slope_m_s * (t_s[j]! - run.middle_s)) / sigma_m[j]!)
  })
  const known = { promising: true, residuals, squares: squaresOf(residuals) }
  return unfitted(ground, specOf(ground, 'constant-velocity', false), known)
}

function unfitted(
  { series, marks }: Ground,
  spec: ModelSpec,
  known: Pick<Attempt, 'promising' | 'residuals' | 'squares'>,
): Attempt {
  const parameters = series.length * ownCount(spec) + sharedCount(spec)
  return { spec, parameters, enough: marks > parameters, fit: undefined, ...known }
}

export function squaresOf(residuals: readonly Float64Array[]): number {
  let sum = 0
  for (const r of residuals) for (const value of r) sum += value * value
  return sum
}

/**
 * Squares of residuals freed of their correlation, by which models are compared: what each differs by from what the one before it lets expect, which
 * is white when the marks err by a first-order process and the model holds. Source: Prais & Winsten, Cowles Commission Discussion Paper 383 (1954).
 */
export function freedSquares(residuals: readonly Float64Array[], rho: number): number {
  const fresh = 1 - rho * rho
  let sum = 0
  for (const r of residuals)
    for (let i = 0; i < r.length; i++) sum += i === 0 ? r[0]! * r[0]! : (r[i]! - rho * r[i - 1]!) ** 2 / fresh
  return sum
}

/** Least and greatest speed over the marks of all runs [m/s]. */
export function speedRange(fit: MotionFit): readonly [number, number] {
  let [least, most] = [Infinity, 0]
  const row = emptyRow(fit.spec)
  for (const [i, { t_s }] of fit.series.entries())
    for (const t of [t_s[0]!, t_s[t_s.length - 1]!]) {
      const context = fit.contexts[i]!
      const v = context.travel * stateAt(fit.spec, context, fit.own[i]!, fit.shared, t - context.middle_s, row).v_m_s
      least = Math.min(least, v)
      most = Math.max(most, v)
    }
  return [Math.max(least, 0), most]
}
