import * as maths from '../../elementary/maths.ts'

/** A part of a combined standard uncertainty: its size (in the unit of the result) and its degrees of freedom (∞ for
 *  one that is known exactly). */
export interface UncertaintyPart {
  readonly u: number
  readonly dof: number
}

/** Effective degrees of freedom of a combined uncertainty, u⁴ / Σ(uᵢ⁴/νᵢ); ∞ when no finite part contributes.
 *  Source: Welch–Satterthwaite formula, JCGM 100:2008, G.4.1, eq. G.2b. */
export function welchSatterthwaite(parts: readonly UncertaintyPart[]): number {
  let variance = 0
  let sum = 0
  for (const { u, dof } of parts) {
    if (!(u >= 0) || !(dof > 0)) throw new RangeError(`A part of u = ${u} with ${dof} degrees of freedom cannot be.`)
    variance += u * u
    if (dof !== Infinity) sum += maths.pow(u, 4) / dof
  }
  return sum > 0 ? variance ** 2 / sum : Infinity
}

/** Degrees of freedom of a Type B uncertainty that is itself trusted to the relative standard uncertainty `doubt`:
 *  ½·doubt⁻². Source: JCGM 100:2008, G.4.2, eq. G.3. */
export function dofOfDoubt(doubt: number): number {
  if (!(doubt >= 0)) throw new RangeError(`A relative doubt of ${doubt} cannot be.`)
  return doubt === 0 ? Infinity : 0.5 / (doubt * doubt)
}
