import type { SlowlaneRecord } from '../record/index.ts'
import { markGradient } from './block-factor.ts'
import type { ModelKind, ModelSpec } from './motion-basis.ts'
import { emptyRow, ownCount, sharedCount, stateAt } from './motion-basis.ts'
import { fitMotion, residualsOf, type MotionFit } from './motion-fit.ts'
import { estimateNoise, gramOf, type MarkNoise } from './noise-model.ts'
import { fUpperTail } from './numerics/f-distribution.ts'
import type { RunSeries } from './run-fit.ts'

export type WantedModel = SlowlaneRecord['settings']['models'][string]

/** Why a model was not taken, or that it was. */
export type Standing =
  | { readonly kind: 'chosen'; readonly by: 'criterion' | 'person' }
  | { readonly kind: 'behind'; readonly gain: number }
  | { readonly kind: 'too-few-marks' }
  | { readonly kind: 'does-not-settle' }
  /** The speed-proportional part is not clear of zero. */
  | { readonly kind: 'rate-unclear'; readonly rate_per_s: number; readonly u_per_s: number }
  /** Greatest over least speed is below 2: dry and speed-proportional parts cannot be told apart. */
  | { readonly kind: 'speeds-alike'; readonly ratio: number }
  | { readonly kind: 'not-asked' }

/** One model held against the marks. */
export interface Candidate {
  readonly model: ModelKind
  readonly parameters: number
  /** Σ (residual/σ)². */
  readonly squares: number | null
  /** Corrected criterion of Akaike, marks counted by what their correlation leaves of them; smaller is better. */
  readonly aicc: number | null
  readonly standing: Standing
}

export interface ChosenModel {
  readonly fit: MotionFit
  readonly noise: MarkNoise
  readonly candidates: readonly Candidate[]
  /** Whether runs keep accelerations of their own, and how likely chance makes them differ so; p null from one run. */
  readonly scatter: { readonly p: number; readonly counted: boolean } | null
}

/** A more flexible model must be better by this much. */
const neededGain: Record<ModelKind, number> = {
  'constant-velocity': 0,
  'constant-acceleration': 0,
  'known-drag': 0,
  'dry-and-viscous': 2,
  local: 4,
}
/** Runs differ beyond their marks when chance would make them in less than this share of series. */
const scatterLevel = 0.1

/**
 * Chooses how the motion of a series is described: the simplest that the marks do not contradict, by the corrected criterion of Akaike
 * (Hurvich & Tsai, Biometrika 76 (1989) 297–307) with correlated marks counted by their worth; a speed-proportional part must besides be positive,
 * clear of zero by twice its uncertainty, and rest on speeds that differ by a factor of two. Undefined when not even a constant acceleration fits.
 */
export function chooseModel(
  series: readonly RunSeries[],
  travel: 1 | -1,
  wanted: WantedModel,
  drag_per_m: number,
  knots_m: readonly number[],
): ChosenModel | undefined {
  const several = series.length > 1
  const marks = series.reduce((sum, { t_s }) => sum + t_s.length, 0)
  const specOf = (kind: ModelKind, ownAcceleration: boolean): ModelSpec => ({
    kind,
    ownAcceleration,
    knots_m: kind === 'local' ? knots_m : [],
    drag_per_m: kind === 'known-drag' ? drag_per_m : 0,
  })
  const kinds: ModelKind[] = ['constant-velocity', 'constant-acceleration', 'dry-and-viscous']
  if (drag_per_m > 0) kinds.push('known-drag')
  if (knots_m.length > 3) kinds.push('local')
  const tried = kinds.map((kind) => {
    const spec = specOf(kind, several)
    const parameters = series.length * ownCount(spec) + sharedCount(spec)
    const spare = kind === 'local' ? 2 * sharedCount(spec) : kind === 'dry-and-viscous' ? 3 : 0
    const enough = marks - parameters >= Math.max(1, spare) && series.every(({ t_s }) => t_s.length > ownCount(spec))
    const fit = enough || kind === 'constant-acceleration' ? fitMotion(spec, series, travel) : undefined
    const residuals = fit && residualsOf(fit)
    const squares = residuals ? residuals.reduce((sum, r) => sum + r.reduce((s, x) => s + x * x, 0), 0) : null
    return { kind, spec, parameters, enough, fit, residuals, squares }
  })
  const plain = tried.find(({ kind }) => kind === 'constant-acceleration')
  if (!plain?.fit) return undefined
  const richest = tried.findLast(({ fit }) => fit !== undefined)!
  const { rho } = estimateNoise(richest.fit!.joint, richest.residuals!)
  const worth = (marks * (1 - rho)) / (1 + rho)
  const aiccOf = ({ squares, parameters }: (typeof tried)[number]): number | null => {
    const k = parameters + 1
    if (squares === null || !(worth - k - 1 > 0)) return null
    return worth * Math.log(Math.max(squares, 1e-12 * marks) / marks) + 2 * k + (2 * k * (k + 1)) / (worth - k - 1)
  }
  const plainAicc = aiccOf(plain)
  let chosen = plain
  let chosenAicc = plainAicc
  const standings = new Map<ModelKind, Standing>()
  for (const one of tried) {
    if (one === plain) continue
    const aicc = aiccOf(one)
    const asked = wanted === one.kind || (wanted === 'terminal-speed' && one.kind === 'dry-and-viscous')
    if (!one.enough || (one.fit && aicc === null && !asked)) standings.set(one.kind, { kind: 'too-few-marks' })
    else if (!one.fit) standings.set(one.kind, { kind: 'does-not-settle' })
    else if (one.kind === 'constant-velocity' || one.kind === 'known-drag')
      standings.set(one.kind, { kind: 'not-asked' })
    else {
      const guard = one.kind === 'dry-and-viscous' ? guardOf(one.fit, one.residuals!) : undefined
      const gain = chosenAicc === null || aicc === null ? -Infinity : chosenAicc - aicc
      if (guard) standings.set(one.kind, guard)
      else if (!(gain > neededGain[one.kind])) standings.set(one.kind, { kind: 'behind', gain })
      else {
        standings.set(chosen.kind, { kind: 'behind', gain: -gain })
        chosen = one
        chosenAicc = aicc
        standings.set(one.kind, { kind: 'chosen', by: 'criterion' })
      }
    }
  }
  if (wanted !== 'auto') {
    const kind: ModelKind = wanted === 'terminal-speed' ? 'dry-and-viscous' : wanted
    const asked = tried.find((one) => one.kind === kind && one.fit)
    if (asked) {
      if (asked !== chosen) standings.set(chosen.kind, { kind: 'behind', gain: 0 })
      chosen = asked
      standings.set(kind, { kind: 'chosen', by: 'person' })
    }
  }
  if (!standings.has(chosen.kind)) standings.set(chosen.kind, { kind: 'chosen', by: 'criterion' })
  const candidates = tried.map((one): Candidate => ({
    model: one.kind,
    parameters: one.parameters,
    squares: one.squares,
    aicc: aiccOf(one),
    standing: standings.get(one.kind) ?? { kind: 'behind', gain: 0 },
  }))
  return { ...withScatter(series, travel, chosen, rho, marks), candidates }
}

/** Whether runs need accelerations of their own beside what the model shares, and the final fit. */
function withScatter(
  series: readonly RunSeries[],
  travel: 1 | -1,
  chosen: {
    readonly spec: ModelSpec
    readonly fit: MotionFit | undefined
    readonly residuals: Float64Array[] | undefined
    readonly squares: number | null
    readonly parameters: number
  },
  rho: number,
  marks: number,
): Omit<ChosenModel, 'candidates'> {
  const own = chosen.fit!
  const ownNoise = () => estimateNoise(own.joint, chosen.residuals!)
  if (series.length < 2) return { fit: own, noise: ownNoise(), scatter: null }
  const common = fitMotion({ ...chosen.spec, ownAcceleration: false }, series, travel)
  if (!common || chosen.spec.kind === 'constant-velocity')
    return {
      fit: common ?? own,
      noise: estimateNoise((common ?? own).joint, residualsOf(common ?? own)),
      scatter: null,
    }
  const residuals = residualsOf(common)
  const squares = residuals.reduce((sum, r) => sum + r.reduce((s, x) => s + x * x, 0), 0)
  const dof = ((marks - chosen.parameters) * (1 - rho)) / (1 + rho)
  const between = (squares - chosen.squares!) / (series.length - 1)
  // Correlated marks make runs differ more than white ones would: their squares are counted by the same worth.
  const f = (between * (1 - rho)) / (1 + rho) / (chosen.squares! / (marks - chosen.parameters))
  const p = dof >= 1 ? fUpperTail(Math.max(f, 0), series.length - 1, dof) : 1
  const counted = p < scatterLevel
  return counted
    ? { fit: own, noise: ownNoise(), scatter: { p, counted } }
    : { fit: common, noise: estimateNoise(common.joint, residuals), scatter: { p, counted } }
}

function guardOf(fit: MotionFit, residuals: readonly Float64Array[]): Standing | undefined {
  const rate_per_s = fit.shared[fit.shared.length - 1]!
  const gradient = { own: fit.own.map(() => null), shared: new Float64Array(fit.shared.length) }
  gradient.shared[fit.shared.length - 1] = 1
  const noise = estimateNoise(fit.joint, residuals)
  const u_per_s = Math.sqrt(varianceOf(fit, noise, gradient))
  if (!(rate_per_s > 2 * u_per_s)) return { kind: 'rate-unclear', rate_per_s, u_per_s }
  const [least, most] = speedRange(fit)
  const ratio = least > 0 ? most / least : Infinity
  return ratio < 2 ? { kind: 'speeds-alike', ratio } : undefined
}

/** Variance of a quantity from the scatter of the marks, correlation included. */
export function varianceOf(
  fit: MotionFit,
  noise: MarkNoise,
  gradient: { readonly own: readonly (Float64Array | null)[]; readonly shared: Float64Array },
): number {
  const gammas = markGradient(fit.joint, gradient)
  let sum = 0
  for (const [i, gamma] of gammas.entries()) {
    const { q, size } = fit.joint.runs[i]!
    if (noise.rho === 0) for (const g of gamma) sum += g * g
    else {
      const gram = gramOf(q, noise.rho)
      for (let k = 0; k < size; k++) for (let l = 0; l < size; l++) sum += gamma[k]! * gram[k * size + l]! * gamma[l]!
    }
  }
  return Math.max(sum, 0) * noise.scale2
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
