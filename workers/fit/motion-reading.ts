import { markGradient } from './block-factor.ts'
import { emptyRow, fillBasis, stateAt } from './motion-basis.ts'
import { speedAtPlace, timeAt, type MotionFit } from './motion-fit.ts'
import { gramOf, type MarkNoise } from './noise-model.ts'

/** A quantity read from a fitted motion, as its derivatives by the run's own parameters and the shared ones. */
export interface Derivatives {
  readonly own: Float64Array
  readonly shared: Float64Array
}

/** Turns derivatives into a standard uncertainty from the scatter of the marks; correlation between marks is carried along. */
export class MarkScatter {
  private readonly grams: (Float64Array | null)[]

  constructor(
    private readonly fit: MotionFit,
    readonly noise: MarkNoise,
  ) {
    this.grams = fit.joint.runs.map(({ q }) => (noise.rho === 0 ? null : gramOf(q, noise.rho)))
  }

  /** Of the mean of a quantity over runs: `of[i]` are the derivatives for run i, null where it takes no part. */
  ofMean(of: readonly (Derivatives | null)[]): number {
    const count = of.reduce((sum, one) => sum + (one ? 1 : 0), 0)
    const shared = new Float64Array(this.fit.shared.length)
    const own = of.map((one) => one && one.own.map((value) => value / count))
    for (const one of of) if (one) for (let k = 0; k < shared.length; k++) shared[k]! += one.shared[k]! / count
    return this.of({ own, shared })
  }

  of(gradient: { readonly own: readonly (Float64Array | null)[]; readonly shared: Float64Array }): number {
    let sum = 0
    for (const [i, gamma] of markGradient(this.fit.joint, gradient).entries()) {
      const gram = this.grams[i]
      const { size } = this.fit.joint.runs[i]!
      if (!gram) for (const g of gamma) sum += g * g
      else
        for (let k = 0; k < size; k++) for (let l = 0; l < size; l++) sum += gamma[k]! * gram[k * size + l]! * gamma[l]!
    }
    return Math.sqrt(Math.max(sum, 0) * this.noise.scale2)
  }

  /** Covariance of several quantities, row by row, from their gradients. */
  covariance(
    gradients: readonly { readonly own: readonly (Float64Array | null)[]; readonly shared: Float64Array }[],
  ): Float64Array {
    const count = gradients.length
    const gammas = gradients.map((gradient) => markGradient(this.fit.joint, gradient))
    const result = new Float64Array(count * count)
    for (const [i, { size }] of this.fit.joint.runs.entries()) {
      const gram = this.grams[i]
      for (let a = 0; a < count; a++) {
        const ga = gammas[a]![i]!
        const spread = ga.slice()
        if (gram)
          for (let k = 0; k < size; k++) {
            let sum = 0
            for (let l = 0; l < size; l++) sum += gram[k * size + l]! * ga[l]!
            spread[k] = sum
          }
        for (let b = a; b < count; b++) {
          const gb = gammas[b]![i]!
          let sum = 0
          for (let k = 0; k < size; k++) sum += spread[k]! * gb[k]!
          result[a * count + b]! += sum * this.noise.scale2
        }
      }
    }
    for (let a = 0; a < count; a++) for (let b = 0; b < a; b++) result[a * count + b] = result[b * count + a]!
    return result
  }
}

/** Speed of run i at a place, and its derivatives: dv = ∂v/∂p − (a/v)·∂s/∂p at a fixed place. Undefined where the run never is there. */
export function speedWithDerivatives(
  fit: MotionFit,
  i: number,
  at_m: number,
): { readonly speed_m_s: number; readonly derivatives: Derivatives } | undefined {
  const there = stateAtPlace(fit, i, at_m)
  if (!there) return undefined
  const { row, state } = there
  const { travel } = fit.contexts[i]!
  const all = row.s.map((s, k) => travel * (row.v[k]! - (state.a_m_s2 / state.v_m_s) * s))
  return { speed_m_s: travel * state.v_m_s, derivatives: split(fit, i, all) }
}

/** Time of run i between two places, and its derivatives: dτ = −∂s/∂p / v at each of them. */
export function transitWithDerivatives(
  fit: MotionFit,
  i: number,
  from_m: number,
  to_m: number,
): { readonly transit_s: number; readonly derivatives: Derivatives } | undefined {
  const [first, last] = [stateAtPlace(fit, i, from_m), stateAtPlace(fit, i, to_m)]
  if (!first || !last) return undefined
  const all = first.row.s.map((s, k) => s / first.state.v_m_s - last.row.s[k]! / last.state.v_m_s)
  return { transit_s: last.tau - first.tau, derivatives: split(fit, i, all) }
}

/** Mean over all runs of the speed at a place; undefined where one of them is never there. */
export function meanSpeedAt(fit: MotionFit, at_m: number): number | undefined {
  let sum = 0
  for (let i = 0; i < fit.own.length; i++) {
    const v = speedAtPlace(fit, i, at_m)
    if (v === undefined) return undefined
    sum += v
  }
  return sum / fit.own.length
}

function stateAtPlace(fit: MotionFit, i: number, at_m: number) {
  const tau = timeAt(fit, i, at_m)
  if (tau === undefined) return undefined
  const row = emptyRow(fit.spec)
  const context = fit.contexts[i]!
  const state = stateAt(fit.spec, context, fit.own[i]!, fit.shared, tau, row)
  if (!(state.v_m_s * context.travel > 0)) return undefined
  fillBasis(fit.spec, context, fit.own[i]!, fit.shared, tau, row)
  return { tau, row, state }
}

function split(fit: MotionFit, i: number, all: Float64Array): Derivatives {
  const count = fit.own[i]!.length
  return { own: all.slice(0, count), shared: all.slice(count) }
}
