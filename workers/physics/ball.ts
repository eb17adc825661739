import * as maths from '../elementary/maths.ts'
import type { BallBody } from './shapes.ts'

/** κ = I/(mR²) of a ball about its centre: 2/5 solid, rising to 2/3 for a thin shell; `hollow` = inner over outer radius
 *  [0, 1]. Throws outside.
 *  Source: textbook moment of inertia of a hollow sphere, (2/5)(1 − q⁵)/(1 − q³), its common factor (1 − q) divided out so
 *  that the thin shell needs no limit. */
export function momentRatio(hollow = 0): number {
  if (!(hollow >= 0 && hollow <= 1)) throw new RangeError(`Inner over outer radius cannot be ${hollow}.`)
  const q = hollow
  return (0.4 * (1 + q * (1 + q * (1 + q * (1 + q))))) / (1 + q * (1 + q))
}

/** Inertia factor k = 1 + κ(R/r_e)²: the rolling ball accelerates as if its mass were k·m. */
export function inertiaFactor(ball: BallBody, rollingRadius_m: number): number {
  if (!(rollingRadius_m > 0)) throw new RangeError(`A ball cannot roll on a radius of ${rollingRadius_m} m.`)
  return 1 + momentRatio(ball.hollow) * (ball.radius_m / rollingRadius_m) ** 2
}

/** dk/dr_e [1/m]: how the inertia factor answers to the rolling radius; −2(k − 1)/r_e. */
export function inertiaFactorSlope(ball: BallBody, rollingRadius_m: number): number {
  return (-2 * (inertiaFactor(ball, rollingRadius_m) - 1)) / rollingRadius_m
}

/** Share (k − 1)/k of the kinetic energy that is rotation. */
export function rotationalShare(k: number): number {
  return (k - 1) / k
}

/** Volume of the ball's material [m³]. */
export function materialVolume_m3({ radius_m, hollow = 0 }: BallBody): number {
  return (4 / 3) * Math.PI * maths.pow(radius_m, 3) * (1 - maths.pow(hollow, 3))
}

/** Mass [kg] of a ball of the given density [kg/m³]. */
export function massFromDensity_kg(ball: BallBody, density_kg_m3: number): number {
  return materialVolume_m3(ball) * density_kg_m3
}

/** Spin [rad/s] of a ball that rolls at v [m/s]. */
export function spin_rad_s(speed_m_s: number, rollingRadius_m: number): number {
  return speed_m_s / rollingRadius_m
}

/** Turns of the ball per metre of lane. */
export function turnsPerMetre(rollingRadius_m: number): number {
  return 1 / distancePerTurn_m(rollingRadius_m)
}

/** Way [m] of one turn, 2π·r_e: painted dot to painted dot. */
export function distancePerTurn_m(rollingRadius_m: number): number {
  return 2 * Math.PI * rollingRadius_m
}

/** Spin compared with rolling on the flat at the same speed, R/r_e ≥ 1. */
export function overRotation(ball: BallBody, rollingRadius_m: number): number {
  return ball.radius_m / rollingRadius_m
}
