/**
 * Slopes at the knots of the cubic spline with continuous second derivative, ends "not a knot" (the first two and last two spans are one cubic each). Three points
 * give the parabola through them. `t` rises. Source: de Boor, A Practical Guide to Splines, chapter IV.
 */
export function splineSlopes(t: Float64Array, y: Float64Array): Float64Array {
  const n = t.length
  const h = Float64Array.from({ length: n - 1 }, (_, i) => t[i + 1]! - t[i]!)
  const d = Float64Array.from({ length: n - 1 }, (_, i) => (y[i + 1]! - y[i]!) / h[i]!)
  if (n === 3) {
    const bend = (d[1]! - d[0]!) / (h[0]! + h[1]!)
    return Float64Array.of(d[0]! - bend * h[0]!, d[0]! + bend * h[0]!, d[1]! + bend * h[1]!)
  }
  const lower = new Float64Array(n)
  const middle = new Float64Array(n)
  const upper = new Float64Array(n)
  const right = new Float64Array(n)
  middle[0] = h[1]!
  upper[0] = h[0]! + h[1]!
  right[0] = ((h[0]! + 2 * (h[0]! + h[1]!)) * h[1]! * d[0]! + h[0]! ** 2 * d[1]!) / (h[0]! + h[1]!)
  for (let i = 1; i < n - 1; i++) {
    lower[i] = h[i]!
    middle[i] = 2 * (h[i - 1]! + h[i]!)
    upper[i] = h[i - 1]!
    right[i] = 3 * (h[i]! * d[i - 1]! + h[i - 1]! * d[i]!)
  }
  const [p, q] = [h[n - 2]!, h[n - 3]!]
  lower[n - 1] = p + q
  middle[n - 1] = q
  right[n - 1] = (p ** 2 * d[n - 3]! + (2 * (p + q) + p) * q * d[n - 2]!) / (p + q)
  for (let i = 1; i < n; i++) {
    const factor = lower[i]! / middle[i - 1]!
    middle[i] = middle[i]! - factor * upper[i - 1]!
    right[i] = right[i]! - factor * right[i - 1]!
  }
  const slopes = new Float64Array(n)
  slopes[n - 1] = right[n - 1]! / middle[n - 1]!
  for (let i = n - 2; i >= 0; i--) slopes[i] = (right[i]! - upper[i]! * slopes[i + 1]!) / middle[i]!
  return slopes
}
