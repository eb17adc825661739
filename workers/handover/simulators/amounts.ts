import * as maths from '../../elementary/maths.ts'
import { linearised } from '../../decide/linearised.ts'
import type { Estimate } from '../../record/index.ts'
import type { Ready } from './form-draft.ts'

/** Lever arm b = C_rr·R [m] of a ball on one contact. */
export function leverArm(ready: Ready): Estimate {
  return product(ready, 'm', [ready.c, ready.radius])
}

/** Couple against the roll over the weight across the lane: C_rr·r_e [m]. */
export function coupleArm(ready: Ready): Estimate {
  return product(ready, 'm', [ready.c, ready.rollingRadius])
}

/** Dry drag per mass, c·g·cos θ [m/s²], of a resistance c. */
export function dragPerMass(ready: Ready, c: Estimate = ready.law.dry): Estimate {
  const { slope, f, book } = ready
  const [g, cos, sin] = [f.gravity.value, maths.cos(slope.value), maths.sin(slope.value)]
  return linearised(book, 'm/s2', c.value * g * cos, [
    { weight: g * cos, estimate: c },
    { weight: c.value * cos, estimate: f.gravity },
    { weight: -c.value * g * sin, estimate: slope },
  ])
}

/** A force per mass as a force [N] on a ball of known mass. */
export function asForce(ready: Ready, perMass: Estimate, mass: Estimate): Estimate {
  return product(ready, 'N', [perMass, mass])
}

/** k·rate [1/s]: the part of the drag per mass and speed; null where the marks show none. */
export function viscousPerMass(ready: Ready): Estimate | null {
  const { law, k } = ready
  return law.rate && product(ready, '1/s', [k, law.rate])
}

export function product({ book }: Ready, unit: string, factors: readonly Estimate[], scale = 1): Estimate {
  const value = factors.reduce((all, { value: v }) => all * v, scale)
  const parts = factors.map((estimate, i) => ({
    weight: factors.reduce((rest, { value: v }, j) => (i === j ? rest : rest * v), scale),
    estimate,
  }))
  return linearised(book, unit, value, parts)
}
