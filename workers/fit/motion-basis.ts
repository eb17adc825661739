import { linearDragBasis } from '../physics/kinematics.ts'

/** How the acceleration of a run is described. */
export type ModelKind = 'constant-velocity' | 'constant-acceleration' | 'dry-and-viscous' | 'known-drag' | 'local'

/**
 * A model of all runs of a series. Each run has its own place and speed at its middle time; the rest is shared, except the level of acceleration where
 * runs scatter (`ownAcceleration`).
 */
export interface ModelSpec {
  readonly kind: ModelKind
  readonly ownAcceleration: boolean
  /** Borders of the pieces of the lane with one acceleration each [m], rising; the outer pieces reach beyond. For `local`. */
  readonly knots_m: readonly number[]
  /** Known air drag β [1/m] in a = a₀ − βv². For `known-drag`. */
  readonly drag_per_m: number
}

/** What a run's basis depends on besides its parameters. */
export interface RunContext {
  readonly middle_s: number
  readonly travel: 1 | -1
  /** When the run enters and leaves each piece [s from its middle time], pieces in the order of the lane. For `local`. */
  readonly pieces: readonly (readonly [number, number])[]
  /** Speed and acceleration at which known drag is taken. For `known-drag`. */
  readonly dragAt: readonly [v_m_s: number, a_m_s2: number]
}

export const ownCount = (spec: ModelSpec): number => (spec.ownAcceleration && spec.kind !== 'constant-velocity' ? 3 : 2)

export function sharedCount(spec: ModelSpec): number {
  const level = spec.ownAcceleration ? 0 : 1
  switch (spec.kind) {
    case 'constant-velocity':
      return 0
    case 'constant-acceleration':
    case 'known-drag':
      return level
    case 'dry-and-viscous':
      return level + 1
    case 'local':
      return spec.knots_m.length - 2 + level
  }
}

/** Where a ball is along the lane line and how it moves there. */
export interface MotionState {
  readonly s_m: number
  readonly v_m_s: number
  readonly a_m_s2: number
}

/** Place, speed and acceleration of each column at one time, and their sum, to be filled: asked for so often that new ones would keep the collector busy. */
export interface BasisRow {
  readonly s: Float64Array
  readonly v: Float64Array
  readonly a: Float64Array
  readonly state: { -readonly [key in keyof MotionState]: MotionState[key] }
}

export function emptyRow(spec: ModelSpec): BasisRow {
  const size = ownCount(spec) + sharedCount(spec)
  return {
    s: new Float64Array(size),
    v: new Float64Array(size),
    a: new Float64Array(size),
    state: { s_m: 0, v_m_s: 0, a_m_s2: 0 },
  }
}

/**
 * Derivatives of place, speed and acceleration at `tau` [s from the run's middle time] by the run's own parameters (place, speed, maybe acceleration)
 * and the shared ones. For linear models these are the columns of the design.
 */
export function fillBasis(
  spec: ModelSpec,
  context: RunContext,
  own: ArrayLike<number>,
  shared: ArrayLike<number>,
  tau: number,
  row: BasisRow,
): void {
  put(row, 0, 1, 0, 0)
  const at = 2
  switch (spec.kind) {
    case 'constant-velocity':
      put(row, 1, tau, 1, 0)
      return
    case 'constant-acceleration':
    case 'known-drag':
      put(row, 1, tau, 1, 0)
      put(row, at, 0.5 * tau * tau, tau, 1)
      return
    case 'dry-and-viscous': {
      const rate = shared[shared.length - 1] ?? 0
      const push = spec.ownAcceleration ? (own[2] ?? 0) : (shared[0] ?? 0)
      const speed = own[1] ?? 0
      const b = linearDragBasis(tau, rate)
      put(row, 1, b.fromSpeed, b.decay, -rate * b.decay)
      put(row, at, b.fromPush, b.fromSpeed, b.decay)
      put(
        row,
        3,
        speed * b.byRateOfSpeed + push * b.byRateOfPush,
        -speed * tau * b.decay + push * b.byRateOfSpeed,
        -speed * b.decay * (1 - rate * tau) - push * tau * b.decay,
      )
      return
    }
    case 'local': {
      put(row, 1, tau, 1, 0)
      let column = at
      if (spec.ownAcceleration) put(row, column++, 0.5 * tau * tau, tau, 1)
      // With an own level of acceleration the first piece is the reference of the others.
      for (let k = spec.ownAcceleration ? 1 : 0; k < context.pieces.length; k++) {
        const piece = context.pieces[k]!
        const low = piece[0]
        const high = piece[1]
        if (tau >= 0) {
          const from = Math.max(low, 0)
          const to = Math.min(high, tau)
          const inside = to > from
          put(
            row,
            column++,
            inside ? (to - from) * (tau - (from + to) / 2) : 0,
            inside ? to - from : 0,
            tau >= low && tau < high ? 1 : 0,
          )
        } else {
          const from = Math.max(low, tau)
          const to = Math.min(high, 0)
          const inside = to > from
          put(
            row,
            column++,
            inside ? (to - from) * ((from + to) / 2 - tau) : 0,
            inside ? from - to : 0,
            tau >= low && tau < high ? 1 : 0,
          )
        }
      }
    }
  }
}

function put(row: BasisRow, column: number, place: number, speed: number, acceleration: number): void {
  row.s[column] = place
  row.v[column] = speed
  row.a[column] = acceleration
}

/** The places of all columns at all times at once, for models that are linear in their parameters; false where the model is not. */
export function fillColumns(
  spec: ModelSpec,
  { middle_s, pieces }: RunContext,
  t_s: Float64Array,
  columns: readonly Float64Array[],
): boolean {
  if (spec.kind === 'dry-and-viscous') return false
  const n = t_s.length
  const [level, slope] = [columns[0]!, columns[1]!]
  for (let j = 0; j < n; j++) {
    level[j] = 1
    slope[j] = t_s[j]! - middle_s
  }
  let next = 2
  if (spec.kind !== 'constant-velocity' && (spec.kind !== 'local' || spec.ownAcceleration)) {
    const curve = columns[next++]!
    for (let j = 0; j < n; j++) curve[j] = 0.5 * slope[j]! * slope[j]!
  }
  if (spec.kind !== 'local') return true
  for (const [low, high] of pieces.slice(spec.ownAcceleration ? 1 : 0)) {
    const column = columns[next++]!
    for (let j = 0; j < n; j++) {
      const tau = slope[j]!
      // Between 0 and τ, whichever way: the piece's share of the double integral.
      const from = Math.max(low, Math.min(0, tau))
      const to = Math.min(high, Math.max(0, tau))
      if (to > from) column[j] = (to - from) * Math.abs(tau - (from + to) / 2)
    }
  }
  return true
}

/** Place, speed and acceleration along the lane line at `tau`; `row` holds the basis there, and the answer, until it is filled again. */
export function stateAt(
  spec: ModelSpec,
  context: RunContext,
  own: ArrayLike<number>,
  shared: ArrayLike<number>,
  tau: number,
  row: BasisRow,
): MotionState {
  fillBasis(spec, context, own, shared, tau, row)
  let s = 0
  let v = 0
  let a = 0
  const count = own.length
  // The last column of the speed-proportional model is a derivative, not a part of the sum.
  const parts = row.s.length - (spec.kind === 'dry-and-viscous' ? 1 : 0)
  for (let k = 0; k < parts; k++) {
    const parameter = k < count ? own[k]! : shared[k - count]!
    s += parameter * row.s[k]!
    v += parameter * row.v[k]!
    a += parameter * row.a[k]!
  }
  if (spec.kind === 'known-drag' && spec.drag_per_m > 0) {
    const [lost, slower, decelerated] = knownDrag(spec, context, tau)
    s -= lost
    v -= slower
    a -= decelerated
  }
  const { state } = row
  state.s_m = s
  state.v_m_s = v
  state.a_m_s2 = a
  return state
}

/** Way, speed and acceleration that known drag takes by `tau`, at the speed v(τ) = v + aτ: ∬βv|v|. */
export function knownDrag(
  spec: ModelSpec,
  { dragAt: [v, a], travel }: RunContext,
  tau: number,
): [number, number, number] {
  const b = travel * spec.drag_per_m
  return [
    b * tau * tau * ((v * v) / 2 + (v * a * tau) / 3 + (a * a * tau * tau) / 12),
    b * tau * (v * v + v * a * tau + (a * a * tau * tau) / 3),
    b * (v + a * tau) ** 2,
  ]
}
