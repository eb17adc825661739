/** Balls per second that pass a place at v [m/s] just touching: v/2R. */
export function capacity_per_s(slowest_m_s: number, radius_m: number): number {
  return slowest_m_s / (2 * radius_m)
}

/** Least time [s] between two balls released from rest at one gate, so that the first has moved on by a diameter:
 *  √(2·2R/a). */
export function releaseInterval_s(radius_m: number, acceleration_m_s2: number): number {
  return Math.sqrt((4 * radius_m) / acceleration_m_s2)
}

/** Average number of balls on a lane: rate × time on it. Source: J. D. C. Little, Operations Research 9 (1961) 383–387. */
export function ballsOnLane(rate_per_s: number, transit_s: number): number {
  return rate_per_s * transit_s
}

/** How many standard deviations lie between two balls released τ [s] apart and their touching where they move at v, when
 *  transit times scatter by σ_T [s]: (τ − 2R/v)/(√2·σ_T). The probability of touching is the normal tail beyond it. */
export function standardisedClearance(
  interval_s: number,
  speed_m_s: number,
  radius_m: number,
  transitScatter_s: number,
): number {
  return (interval_s - (2 * radius_m) / speed_m_s) / (Math.SQRT2 * transitScatter_s)
}

/** A rolling ball hits an equal one at rest: velocities swap, spins stay, then both take up rolling. Final speeds over the
 *  speed before, and the share of kinetic energy kept.
 *  Source: elastic head-on impact of equal smooth balls, then `transition`'s angular momentum for each. */
export function impactOnResting(k: number): {
  readonly striker: number
  readonly struck: number
  readonly energyKept: number
} {
  const striker = (k - 1) / k
  const struck = 1 / k
  return { striker, struck, energyKept: striker ** 2 + struck ** 2 }
}
