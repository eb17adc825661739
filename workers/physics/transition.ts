/** What a change of guide does to a rolling ball. `speedRatio` after over before, once it rolls again without slip;
 *  `energyKept` the share of kinetic energy. */
export interface Transition {
  readonly speedRatio: number
  readonly energyKept: number
}

/** From one rolling radius to another, over a joint without a step: the spin no longer fits and slip mends it.
 *
 *  `before` and `after` are r_e/R; κ = I/(mR²). v₂/v₁ = (1 + κ/(s₁s₂))/(1 + κ/s₂²).
 *  Source: angular momentum about the new axis of contact is not changed by friction there. */
export function transition(before: number, after: number, momentRatio: number): Transition {
  const k1 = 1 + momentRatio / before ** 2
  const k2 = 1 + momentRatio / after ** 2
  const speedRatio = (1 + momentRatio / (before * after)) / k2
  return { speedRatio, energyKept: (speedRatio ** 2 * k2) / k1 }
}

/** A ball set down or pushed off at speed v₀ without spin rolls on at v₀/k. Source: as `transition`, with no spin before. */
export function launchWithoutSpin(k: number): Transition {
  return { speedRatio: 1 / k, energyKept: 1 / k }
}
