/**
 * Undoes r·(1 + k1·r²): the factor r/shown, by Newton's method on q·(1 + k·q²) = 1 with k = k1·shown² (radii in any one unit).
 * Beyond the fold of a strong barrel, where no undistorted point is shown, the factor of the fold.
 */
export function straighteningFactor(k1: number, shownSquared: number): number {
  const k = k1 * shownSquared
  // r·(1 + k1·r²) has its greatest value at 1 + 3·k1·r² = 0; there k = −4/27 and q = 3/2.
  if (k <= -4 / 27) return 1.5
  // Where little is bent, the first terms of the inverse's series leave little to do (Lagrange inversion: coefficients (3n)!/(n!·(2n + 1)!)). Else
  // from q = 1, whence the steps go one way only: the cubic is bent one way between there and its root.
  let q = k > -0.06 && k < 0.06 ? 1 - k * (1 - k * (3 - k * (12 - 55 * k))) : 1
  for (let i = 0; i < 60; i++) {
    const kqq = k * q * q
    const step = (q + q * kqq - 1) / (1 + 3 * kqq)
    q -= step
    // Quadratic convergence: what a step of 2e-8 leaves is below the last digit, unless the fold is near.
    if (step < 2e-8 && step > -2e-8 && k > -0.1) break
    if (step < 1e-15 && step > -1e-15) break
  }
  return q
}
