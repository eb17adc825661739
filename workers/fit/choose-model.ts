import * as maths from '../elementary/maths.ts'
import {
  attempt,
  attemptConstantSpeed,
  attemptSpeedPart,
  freedSquares,
  neededGain,
  speedRange,
  type Attempt,
  type Ground,
  type WantedModel,
} from './candidates.ts'
import type { ModelKind } from './motion-basis.ts'
import type { MotionFit } from './motion-fit.ts'
import { MarkScatter } from './motion-reading.ts'
import { estimateNoise, type MarkNoise } from './noise-model.ts'
import { fUpperTail } from './numerics/f-distribution.ts'
import type { RunSeries } from './run-fit.ts'

/** Why a model was not taken, or that it was. */
export type Standing =
  | { readonly kind: 'chosen'; readonly by: 'criterion' | 'person' }
  | { readonly kind: 'behind' }
  | { readonly kind: 'too-few-marks' }
  | { readonly kind: 'does-not-settle' }
  /** The speed-proportional part is not clear of zero. */
  | { readonly kind: 'rate-unclear'; readonly rate_per_s: number; readonly u_per_s: number }
  /** Greatest over least speed is below 2: dry and speed-proportional parts cannot be told apart. */
  | { readonly kind: 'speeds-alike'; readonly ratio: number }
  /** Taken only when a person asks for it. */
  | { readonly kind: 'not-asked' }

/** One model held against the marks. */
export interface Candidate {
  readonly model: ModelKind
  readonly parameters: number
  /** Σ (residual/σ)². */
  readonly squares: number | null
  /** Corrected criterion of Akaike, residuals freed of their correlation; smaller is better. */
  readonly aicc: number | null
  readonly standing: Standing
}

export interface ChosenModel {
  readonly fit: MotionFit
  readonly noise: MarkNoise
  readonly candidates: readonly Candidate[]
  /** How likely chance makes runs differ so, and whether their spread counts in the uncertainty; null from one run. */
  readonly scatter: { readonly p: number; readonly counted: boolean } | null
  /** A model that the marks speak for against the one taken: a guard held it back, or a person overruled it. Null where they speak for none. */
  readonly rival: MotionFit | null
  /** The motion told piece by piece, where that was tried. */
  readonly pieces: MotionFit | null
}

/**
 * Runs differ beyond their marks when chance would make them in less than this share of series. A spread seen in two runs alone says little of its own
 * size (Student's t of one degree of freedom), so that more is asked of it.
 */
const scatterLevel = (runs: number): number => (runs > 2 ? 0.1 : 0.05)
/** Speeds are read with an acceleration for each run already when chance would make runs differ so in less than this share: that costs little. */
const ownLevel = 0.3

/**
 * Chooses how the motion of a series is described: the simplest that the marks do not contradict, by the corrected criterion of Akaike
 * (Hurvich & Tsai, Biometrika 76 (1989) 297–307) with residuals freed of their correlation; a speed-proportional part must besides be positive,
 * clear of zero by twice its uncertainty, and rest on speeds that differ by a factor of two. Undefined when not even a constant acceleration fits.
 */
export function chooseModel(
  series: readonly RunSeries[],
  travel: 1 | -1,
  wanted: WantedModel,
  drag_per_m: number,
  knots_m: readonly number[],
): ChosenModel | undefined {
  const marks = series.reduce((sum, { t_s }) => sum + t_s.length, 0)
  const ground: Ground = { series, travel, drag_per_m, knots_m, marks }
  let plain = attempt(ground, 'constant-acceleration', false)
  if (series.length > 1) {
    // Models are compared with an acceleration for each run where runs may differ, so that scatter is not taken for a law.
    const own = attempt(ground, 'constant-acceleration', true)
    if (own.fit && scatterChance(plain, own, ground, 0) < ownLevel) plain = own
  }
  if (!plain.fit) return undefined
  const own = plain.spec.ownAcceleration
  const tried = [attemptConstantSpeed(ground, wanted), plain, attemptSpeedPart(ground, plain, wanted)]
  if (drag_per_m > 0) tried.push(attempt(ground, 'known-drag', own))
  if (knots_m.length > 3) tried.push(attempt(ground, 'local', own))
  const rho = correlationOf(tried, marks)
  const { chosen, candidates, rival } = select(tried, plain, wanted, marks, rho)
  const settled = withScatter(ground, chosen, rho)
  const { ownAcceleration } = settled.fit.spec
  const pieces = tried.find(({ spec, fit }) => spec.kind === 'local' && fit && spec.ownAcceleration === ownAcceleration)
  return { ...settled, candidates, rival, pieces: pieces?.fit ?? null }
}

/**
 * Correlation of neighbouring marks, from the model that comes closest to them for what it spends. The richest one need not: pieces of the lane bend
 * otherwise than resistance that goes with speed, and what a model misses would be taken for marks that err alike.
 */
function correlationOf(tried: readonly Attempt[], marks: number): number {
  let closest: Attempt | undefined
  let least = Infinity
  for (const one of tried) {
    if (!one.fit || one.squares === null) continue
    const variance = one.squares / Math.max(1, marks - one.parameters)
    if (closest && !(variance < least)) continue
    closest = one
    least = variance
  }
  return closest ? estimateNoise(closest.fit!.joint, closest.residuals!).rho : 0
}

function select(
  tried: readonly Attempt[],
  plain: Attempt,
  wanted: WantedModel,
  marks: number,
  rho: number,
): { readonly chosen: Attempt; readonly candidates: Candidate[]; readonly rival: MotionFit | null } {
  const aiccOf = ({ residuals, parameters }: Attempt): number | null => {
    const k = parameters + 1
    if (!residuals || !(marks - k - 1 > 0)) return null
    const squares = Math.max(freedSquares(residuals, rho), 1e-12 * marks)
    return marks * maths.log(squares / marks) + 2 * k + (2 * k * (k + 1)) / (marks - k - 1)
  }
  const kindWanted: ModelKind | null =
    wanted === 'auto' ? null : wanted === 'terminal-speed' ? 'dry-and-viscous' : wanted
  const standings = new Map<Attempt, Standing>()
  let chosen = plain
  for (const one of tried) {
    if (one === plain) continue
    const [now, before] = [aiccOf(one), aiccOf(chosen)]
    const gain = now === null || before === null ? -Infinity : before - now
    const standing = standingOf(one, gain, one.spec.kind === kindWanted)
    standings.set(one, standing)
    if (standing.kind !== 'chosen') continue
    standings.set(chosen, { kind: 'behind' })
    chosen = one
  }
  const asked = tried.find(({ spec, fit }) => spec.kind === kindWanted && fit)
  if (asked) {
    if (asked !== chosen) standings.set(chosen, { kind: 'behind' })
    chosen = asked
  }
  standings.set(chosen, { kind: 'chosen', by: asked ? 'person' : 'criterion' })
  const candidates = tried.map((one): Candidate => ({
    model: one.spec.kind,
    parameters: one.parameters,
    squares: one.squares,
    aicc: aiccOf(one),
    standing: standings.get(one) ?? { kind: 'behind' },
  }))
  // Pieces follow whatever the motion does, and say so in their own uncertainty.
  const rival = chosen.spec.kind === 'local' ? undefined : spokenFor(tried, aiccOf, chosen)
  return { chosen, candidates, rival: rival?.fit ?? null }
}

/**
 * The best model by the criterion among those better than the chosen one by as much as would have had them taken, and by 2 at least, below which both
 * have support. Source of the 2: Burnham & Anderson, Model Selection and Multimodel Inference (2002), section 2.6, from memory.
 */
function spokenFor(
  tried: readonly Attempt[],
  aiccOf: (one: Attempt) => number | null,
  chosen: Attempt,
): Attempt | undefined {
  const taken = aiccOf(chosen)
  let least = Infinity
  let best: Attempt | undefined
  for (const one of tried) {
    const aicc = one.fit ? aiccOf(one) : null
    const needed = Math.max(2, neededGain[one.spec.kind])
    if (taken === null || aicc === null || !(taken - aicc > needed) || !(aicc < least)) continue
    best = one
    least = aicc
  }
  return best
}

function standingOf(one: Attempt, gain: number, asked: boolean): Standing {
  const { kind } = one.spec
  if (!one.enough || (one.fit && gain === -Infinity && !asked)) return { kind: 'too-few-marks' }
  if (kind === 'constant-velocity' || kind === 'known-drag') return { kind: 'not-asked' }
  if (!one.promising) return { kind: 'behind' }
  if (!one.fit) return { kind: 'does-not-settle' }
  const guard = kind === 'dry-and-viscous' ? guardOf(one.fit, one.residuals!) : undefined
  if (guard) return guard
  return gain > neededGain[kind] ? { kind: 'chosen', by: 'criterion' } : { kind: 'behind' }
}

/** How likely chance makes runs differ so: what accelerations of their own explain, against what is left over (F test, marks counted by their worth). */
function scatterChance(common: Attempt, own: Attempt, { series, marks }: Ground, rho: number): number {
  const worth = (1 - rho) / (1 + rho)
  const spare = marks - own.parameters
  if (common.squares === null || own.squares === null || !(spare * worth >= 1)) return 1
  const between = (common.squares - own.squares) / (series.length - 1)
  return fUpperTail(Math.max(0, (between * worth) / (own.squares / spare)), series.length - 1, spare * worth)
}

/** Whether runs need accelerations of their own beside what the chosen model shares, and the final fit. */
function withScatter(
  ground: Ground,
  chosen: Attempt,
  rho: number,
): Omit<ChosenModel, 'candidates' | 'rival' | 'pieces'> {
  const final = ({ fit, residuals }: Attempt) => ({ fit: fit!, noise: estimateNoise(fit!.joint, residuals!) })
  if (ground.series.length < 2 || chosen.spec.kind === 'constant-velocity') return { ...final(chosen), scatter: null }
  const { kind, ownAcceleration } = chosen.spec
  const other = attempt(ground, kind, !ownAcceleration)
  if (!other.fit) return { ...final(chosen), scatter: { p: 1, counted: false } }
  const [common, own] = ownAcceleration ? [other, chosen] : [chosen, other]
  const p = scatterChance(common, own, ground, rho)
  return { ...final(p < ownLevel ? own : common), scatter: { p, counted: p < scatterLevel(ground.series.length) } }
}

function guardOf(fit: MotionFit, residuals: readonly Float64Array[]): Standing | undefined {
  const last = fit.shared.length - 1
  const rate_per_s = fit.shared[last]!
  const gradient = { own: fit.own.map(() => null), shared: new Float64Array(fit.shared.length) }
  gradient.shared[last] = 1
  const u_per_s = new MarkScatter(fit, estimateNoise(fit.joint, residuals)).of(gradient)
  if (!(rate_per_s > 2 * u_per_s)) return { kind: 'rate-unclear', rate_per_s, u_per_s }
  const [least, most] = speedRange(fit)
  const ratio = least > 0 ? most / least : Infinity
  return ratio < 2 ? { kind: 'speeds-alike', ratio } : undefined
}
