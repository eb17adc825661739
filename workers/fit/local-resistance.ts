import * as maths from '../elementary/maths.ts'
import type { Estimate } from '../record/index.ts'
import { estimateOf, type SourceBook } from './estimates.ts'
import type { SeriesNumbers, SeriesPlan } from './evaluate.ts'
import { fitPieces, pieceAccelerations, type LocalPlan } from './local-fit.ts'
import { MarkScatter, meanSpeedAt } from './motion-reading.ts'
import { cholesky } from './numerics/cholesky.ts'
import { studentTQuantile } from './numerics/student-t.ts'
import type { Moved } from './speed-curve.ts'
import type { UsableRun } from './usable-run.ts'

/** One piece of the lane with its own resistance. */
export interface LanePiece {
  readonly from_m: number
  readonly to_m: number
  /** Along the travel. */
  readonly acceleration: Estimate
  readonly crr: Estimate | null
}

/** A piece that resists more than the rest of the lane explains. */
export interface SlowSpot {
  readonly from_m: number
  readonly to_m: number
  /** What C_rr is above the rest of the lane there, and its standard uncertainty. */
  readonly excess: number
  readonly u: number
  /** Height of fall [m] that the ball loses there beyond what it loses elsewhere. */
  readonly lostHeight_m: number
  /** Excess over its uncertainty, and the value that chance exceeds anywhere on the lane in one of twenty lanes. */
  readonly score: number
  readonly threshold: number
  /**
   * Whether the runs show it each on its own. `one-run-only`: it does not show in most of several. `one-view-only`: another camera position does not
   * show it at the same place, so that lens or scale is the likelier cause than the lane.
   */
  readonly recurs: 'in-most-runs' | 'one-run-only' | 'single-run-filmed' | 'one-view-only'
}

export interface LocalResult {
  readonly pieces: readonly LanePiece[]
  readonly slowSpots: readonly SlowSpot[]
}

/** Chance that a lane without any slow spot is said to have one. */
const falseAlarm = 0.05

/** Resistance piece by piece with its full covariance, and the pieces that stand out. Null where the marks do not give it. */
export function localResistance(
  book: SourceBook,
  plan: SeriesPlan,
  base: SeriesNumbers,
  moved: ReadonlyMap<string, Moved<SeriesNumbers>>,
): LocalResult | null {
  const { local, travel } = plan
  if (!local || !base.pieces_m_s2) return null
  const knots = local.fit.spec.knots_m
  const count = knots.length - 1
  const random = pieceCovariance(local)
  const between = plan.fit.between_m_s2 === null ? 0 : plan.fit.between_m_s2 ** 2 / plan.runs.length
  const dof = local.noise.dof
  const crr = resistances(base, travel)
  const factor = base.inertiaFactor === null ? null : base.inertiaFactor / base.g_m_s2
  const effects = pieceEffects(base, moved, travel)
  const pieces = Array.from({ length: count }, (_, k): LanePiece => {
    const u = Math.sqrt(random[k * count + k]! + between)
    return {
      from_m: knots[k]!,
      to_m: knots[k + 1]!,
      acceleration: estimateOf(book, 'm/s2', travel * base.pieces_m_s2![k]!, columnOf(effects.acceleration, k), {
        u,
        dof,
      }),
      crr:
        crr && factor !== null
          ? estimateOf(book, '1', crr[k]!, columnOf(effects.crr, k), {
              u: (u * factor) / maths.cos(base.pieceSlopes_rad![k]!),
              dof,
            })
          : null,
    }
  })
  return {
    pieces,
    slowSpots: crr && factor !== null ? slowSpots(plan, local, base, crr, factor, random, effects.crr) : [],
  }
}

/** C_rr of each piece from its acceleration; null without slope or guide. */
function resistances(n: SeriesNumbers, travel: 1 | -1): Float64Array | null {
  if (n.inertiaFactor === null || !n.pieces_m_s2 || !n.pieceSlopes_rad) return null
  const factor = n.inertiaFactor / n.g_m_s2
  return n.pieces_m_s2.map((a, k) => {
    const slope = n.pieceSlopes_rad![k]!
    return travel * (maths.tan(slope) - (factor * a) / maths.cos(slope))
  })
}

interface PieceEffects {
  readonly acceleration: ReadonlyMap<string, Float64Array>
  readonly crr: ReadonlyMap<string, Float64Array>
}

function pieceEffects(
  base: SeriesNumbers,
  moved: ReadonlyMap<string, Moved<SeriesNumbers>>,
  travel: 1 | -1,
): PieceEffects {
  const acceleration = new Map<string, Float64Array>()
  const crr = new Map<string, Float64Array>()
  for (const [id, { plus, minus }] of moved) {
    const [a, b] = [plus.pieces_m_s2 ?? base.pieces_m_s2!, minus.pieces_m_s2 ?? base.pieces_m_s2!]
    acceleration.set(
      id,
      a.map((value, k) => (travel * (value - b[k]!)) / 2),
    )
    const [c, d] = [resistances(plus, travel), resistances(minus, travel)]
    if (c && d)
      crr.set(
        id,
        c.map((value, k) => (value - d[k]!) / 2),
      )
  }
  return { acceleration, crr }
}

function columnOf(effects: ReadonlyMap<string, Float64Array>, k: number): Map<string, number> {
  return new Map([...effects].map(([id, column]) => [id, column[k]!]))
}

/** Covariance of the pieces' accelerations from the scatter of the marks, row by row. */
function pieceCovariance({ fit, noise }: LocalPlan): Float64Array {
  const count = fit.spec.knots_m.length - 1
  const runs = fit.own.length
  const gradients = Array.from({ length: count }, (_, k) => {
    const shared = new Float64Array(fit.shared.length)
    if (!fit.spec.ownAcceleration) shared[k] = 1
    else if (k > 0) shared[k - 1] = 1
    const own = fit.spec.ownAcceleration ? fit.own.map(() => Float64Array.of(0, 0, 1 / runs)) : fit.own.map(() => null)
    return { own, shared }
  })
  return new MarkScatter(fit, noise).covariance(gradients)
}

/**
 * Each piece held against the others by generalised least squares under the full covariance (scatter and shared sources), once against a common level and
 * once against a level that goes with speed, since a resistance that grows with speed is no spot. A piece must stand out in both, above a
 * threshold that leaves a false alarm on one clean lane in twenty (Bonferroni over the pieces).
 */
function slowSpots(
  plan: SeriesPlan,
  local: LocalPlan,
  base: SeriesNumbers,
  crr: Float64Array,
  factor: number,
  random: Float64Array,
  effects: ReadonlyMap<string, Float64Array>,
): SlowSpot[] {
  const knots = local.fit.spec.knots_m
  const count = crr.length
  const covariance = new Float64Array(count * count)
  const scale = base.pieceSlopes_rad!.map((slope) => factor / maths.cos(slope))
  for (let a = 0; a < count; a++)
    for (let b = 0; b < count; b++) {
      let sum = random[a * count + b]! * scale[a]! * scale[b]!
      for (const column of effects.values()) sum += column[a]! * column[b]!
      covariance[a * count + b] = sum
    }
  const level = Array.from({ length: count }, () => 1)
  const speed = level.map((_, k) => meanSpeedAt(local.fit, (knots[k]! + knots[k + 1]!) / 2) ?? 0)
  const flat = standingOut(covariance, crr, [level])
  const trend = count > 3 ? standingOut(covariance, crr, [level, speed]) : flat
  if (!flat || !trend) return []
  const threshold = studentTQuantile(1 - falseAlarm / count, local.noise.dof)
  const spots: SlowSpot[] = []
  for (let k = 0; k < count; k++) {
    const [one, other] = [flat[k]!, trend[k]!]
    const score = Math.min(one.excess / one.u, other.excess / other.u)
    if (!(score > threshold)) continue
    const length = knots[k + 1]! - knots[k]!
    spots.push({
      from_m: knots[k]!,
      to_m: knots[k + 1]!,
      excess: one.excess,
      u: one.u,
      lostHeight_m: one.excess * length * maths.cos(base.pieceSlopes_rad![k]!),
      score,
      threshold,
      recurs: recurrence(plan, local, base, factor, k),
    })
  }
  return spots
}

interface Excess {
  readonly excess: number
  readonly u: number
}

/** For each piece the shift δ in c = X·β + δ·(that piece), by generalised least squares: δ = (A·c)ₖ/Aₖₖ, u² = 1/Aₖₖ, A = P − PX(XᵀPX)⁻¹XᵀP. */
function standingOut(
  covariance: Float64Array,
  c: Float64Array,
  columns: readonly (readonly number[])[],
): Excess[] | undefined {
  const n = c.length
  const factorised = cholesky({ rows: n, cols: n, data: covariance.slice() })
  if (factorised.kind === 'not-positive-definite') return undefined
  const whiten = (v: ArrayLike<number>) => factorised.whiten(v)
  // Whitened regressors, made orthonormal.
  const basis: Float64Array[] = []
  for (const column of columns) {
    const v = Float64Array.from(whiten(column))
    for (const q of basis) {
      const along = dot(q, v)
      for (let i = 0; i < n; i++) v[i]! -= along * q[i]!
    }
    const norm = Math.sqrt(dot(v, v))
    if (norm > 0) basis.push(v.map((value) => value / norm))
  }
  const clear = (v: Float64Array): Float64Array => {
    for (const q of basis) {
      const along = dot(q, v)
      for (let i = 0; i < n; i++) v[i]! -= along * q[i]!
    }
    return v
  }
  const rest = clear(Float64Array.from(whiten(c)))
  return Array.from(c, (_, k) => {
    const unit = new Float64Array(n)
    unit[k] = 1
    const direction = clear(Float64Array.from(whiten(unit)))
    const square = dot(direction, direction)
    return { excess: square > 0 ? dot(direction, rest) / square : 0, u: square > 0 ? 1 / Math.sqrt(square) : Infinity }
  })
}

/** Whether a spot shows in most runs, each fitted alone, and from every camera position. */
function recurrence(
  plan: SeriesPlan,
  local: LocalPlan,
  base: SeriesNumbers,
  factor: number,
  k: number,
): SlowSpot['recurs'] {
  if (plan.runs.length === 1) return 'single-run-filmed'
  const knots = local.fit.spec.knots_m
  const count = knots.length - 1
  const level = Array.from({ length: count }, () => 1)
  const scale = base.pieceSlopes_rad!.map((slope) => factor / maths.cos(slope))
  const excessOf = (runs: readonly UsableRun[]): Excess | undefined => {
    const some = fitPieces(
      runs.map(({ series }) => series),
      plan.travel,
      knots,
      false,
    )
    const crr = some && resistances({ ...base, pieces_m_s2: pieceAccelerations(some.fit) }, plan.travel)
    if (!crr) return undefined
    const covariance = pieceCovariance({ fit: some.fit, noise: local.noise })
    for (let a = 0; a < count; a++) for (let b = 0; b < count; b++) covariance[a * count + b]! *= scale[a]! * scale[b]!
    return standingOut(covariance, crr, [level])?.[k]
  }
  const views = [...new Set(plan.runs.map(({ viewId }) => viewId))]
  if (views.length > 1) {
    const each = views.flatMap((view) => excessOf(plan.runs.filter(({ viewId }) => viewId === view)) ?? [])
    const most = each.reduce((greatest, { excess }) => Math.max(greatest, excess), 0)
    // Clearly below half of what the other camera position shows.
    if (each.some(({ excess, u }) => excess + 2 * u < most / 2)) return 'one-view-only'
  }
  const alone = plan.runs.flatMap((run) => excessOf([run]) ?? [])
  const showing = alone.filter(({ excess }) => excess > 0).length
  return alone.length < 2 || showing * 2 > alone.length ? 'in-most-runs' : 'one-run-only'
}

function dot(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let sum = 0
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!
  return sum
}
