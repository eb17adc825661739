/** Equivalent resistance of a level lane from how fast the ball slows [m/s², positive]: k·|a|/g. */
export function resistanceOfCoastDown(k: number, deceleration_m_s2: number, g_m_s2: number): number {
  return (k * deceleration_m_s2) / g_m_s2
}

/** Way [m] and time [s] in which a ball of v₀ comes to rest on a level lane: k·v₀²/(2gc), k·v₀/(gc). */
export function coastDown(
  k: number,
  equivalentResistance: number,
  v0_m_s: number,
  g_m_s2: number,
): { readonly way_m: number; readonly time_s: number } {
  const time_s = (k * v0_m_s) / (g_m_s2 * equivalentResistance)
  return { way_m: (v0_m_s * time_s) / 2, time_s }
}

/** Equivalent resistance from the way a ball of v₀ needs to stop on a level lane. */
export function resistanceOfStopWay(k: number, v0_m_s: number, way_m: number, g_m_s2: number): number {
  return (k * v0_m_s ** 2) / (2 * g_m_s2 * way_m)
}

/** Level stopping way [m] from the ways up and down one gentle slope at equal v₀: 2·S_u·S_d/(S_u + S_d), exact for a
 *  resistance that does not depend on speed; the arithmetic mean is too long.
 *  Source: A. D. Brede, USGA Green Section Record, 1990. */
export function levelStopWay_m(up_m: number, down_m: number): number {
  return (2 * up_m * down_m) / (up_m + down_m)
}

/** Tangent of the slope from the same two ways, c(S_d − S_u)/(S_d + S_u). */
export function slopeOfStopWays(up_m: number, down_m: number, equivalentResistance: number): number {
  return (equivalentResistance * (down_m - up_m)) / (down_m + up_m)
}

/** Equivalent resistance from energy: centre drop h and horizontal run X [m], speeds at both ends [m/s];
 *  (h − k(v² − v₀²)/2g)/X. */
export function resistanceOfEnergy(
  drop_m: number,
  run_m: number,
  k: number,
  exit_m_s: number,
  g_m_s2: number,
  entry_m_s = 0,
): number {
  return (drop_m - (k * (exit_m_s ** 2 - entry_m_s ** 2)) / (2 * g_m_s2)) / run_m
}

/** Constant acceleration [m/s²] of a ball released at rest at 0 that takes `interval_s` from L₁ to L₂ [m]:
 *  2(√L₂ − √L₁)²/Δt². */
export function accelerationOfTwoGates_m_s2(first_m: number, second_m: number, interval_s: number): number {
  return (2 * (Math.sqrt(second_m) - Math.sqrt(first_m)) ** 2) / interval_s ** 2
}

/** Constant acceleration and entry speed of a ball timed from a gate at 0 to gates at L₁ and L₂ [m]:
 *  a = 2(L₂/t₂ − L₁/t₁)/(t₂ − t₁). */
export function accelerationOfThreeGates(
  first_m: number,
  first_s: number,
  second_m: number,
  second_s: number,
): { readonly a_m_s2: number; readonly v0_m_s: number } {
  const a_m_s2 = (2 * (second_m / second_s - first_m / first_s)) / (second_s - first_s)
  return { a_m_s2, v0_m_s: first_m / first_s - (a_m_s2 * first_s) / 2 }
}

/** Standard uncertainty [s] of an interval counted in whole frames: √2/(f·√12), two ends each uniform over one frame.
 *  Source: JCGM 100:2008, F.2.2.1 (resolution of a digital indication). */
export function frameIntervalUncertainty_s(framesPerSecond: number): number {
  return Math.SQRT2 / (framesPerSecond * Math.sqrt(12))
}

/** Two coast-down times in opposite directions [s] combined: the harmonic mean, which averages the forces.
 *  Source: UN Global Technical Regulation No. 15, Annex 4 (from memory). */
export function pairedCoastDownTime_s(one_s: number, other_s: number): number {
  return 2 / (1 / one_s + 1 / other_s)
}
