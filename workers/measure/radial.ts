/**
 * Undoes r·(1 + k1·r²): the factor r/shown, by Newton's method on q·(1 + k·q²) = 1 with k = k1·shown² (radii in any one unit).
 * Beyond the fold of a strong barrel, where no undistorted point is shown, the factor of the fold.
 */
export function straighteningFactor(k1: number, shownSquared: number): number {
  const k = k1 * shownSquared
  // r·(1 + k1·r²) has its greatest value at 1 + 3·k1·r² = 0; there k = −4/27 and q = 3/2.
  if (k <= -4 / 27) return 1.5
  // From q = 1 the steps go one way only: the cubic is bent one way between there and its root.
  let q = 1
  for (let i = 0; i < 60; i++) {
    const step = (q * (1 + k * q * q) - 1) / (1 + 3 * k * q * q)
    q -= step
    if (Math.abs(step) < 1e-15) break
  }
  return q
}
