/** k-th smallest of the first n entries; reorders them. */
export function quickselect(values: Float64Array | Float32Array, n: number, k: number): number {
  let low = 0
  let high = n - 1
  while (low < high) {
    const pivot = values[(low + high) >> 1]!
    let i = low
    let j = high
    while (i <= j) {
      while (values[i]! < pivot) i++
      while (values[j]! > pivot) j--
      if (i <= j) {
        const kept = values[i]!
        values[i] = values[j]!
        values[j] = kept
        i++
        j--
      }
    }
    if (k <= j) high = j
    else if (k >= i) low = i
    else break
  }
  return values[k]!
}

/** Median of numbers (lower of the two middle ones for an even count); NaN for none. Leaves its input alone. */
export function median(values: ArrayLike<number>): number {
  const n = values.length
  if (n === 0) return NaN
  return quickselect(new Float64Array(values), n, (n - 1) >> 1)
}

/** Robust standard deviation: 1.4826 × median absolute deviation. Source: consistency factor 1/Φ⁻¹(3/4). */
export function robustScatter(values: ArrayLike<number>): number {
  const n = values.length
  if (n === 0) return NaN
  const off = new Float64Array(values)
  const centre = quickselect(off, n, (n - 1) >> 1)
  for (let i = 0; i < n; i++) off[i] = Math.abs(off[i]! - centre)
  return 1.4826 * quickselect(off, n, (n - 1) >> 1)
}

/** Tukey's biweight: (1 − (e/c)²)² inside c, 0 outside. */
export function tukey(error: number, cut: number): number {
  const share = error / cut
  const rest = 1 - share * share
  return rest <= 0 ? 0 : rest * rest
}

/** Solves A·x = b for a small symmetric positive matrix (row-major, n × n) by Cholesky, in copies.
 *  Undefined where A is not positive. */
export function solveSymmetric(
  matrix: ArrayLike<number>,
  right: ArrayLike<number>,
  n: number,
): Float64Array | undefined {
  const l = Float64Array.from(matrix)
  const x = Float64Array.from(right)
  for (let j = 0; j < n; j++) {
    let d = l[j * n + j]!
    for (let k = 0; k < j; k++) d -= l[j * n + k]! ** 2
    if (!(d > 1e-12)) return undefined
    const root = Math.sqrt(d)
    l[j * n + j] = root
    for (let i = j + 1; i < n; i++) {
      let e = l[i * n + j]!
      for (let k = 0; k < j; k++) e -= l[i * n + k]! * l[j * n + k]!
      l[i * n + j] = e / root
    }
  }
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) x[i] = x[i]! - l[i * n + k]! * x[k]!
    x[i] = x[i]! / l[i * n + i]!
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) x[i] = x[i]! - l[k * n + i]! * x[k]!
    x[i] = x[i]! / l[i * n + i]!
  }
  return x
}

/** Least-squares polynomial through (x, y) with weights that drop outliers (Tukey, 4 rounds), about a centre and on a
 *  scale so that powers stay near 1. Falls back to a lower degree where points are few. */
export interface Trend {
  readonly centre: number
  readonly scale: number
  readonly coefficients: Float64Array
}

export function fitTrend(x: ArrayLike<number>, y: ArrayLike<number>, degree: number): Trend {
  const n = x.length
  let low = Infinity
  let high = -Infinity
  for (let i = 0; i < n; i++) {
    low = Math.min(low, x[i]!)
    high = Math.max(high, x[i]!)
  }
  const centre = (low + high) / 2
  const scale = Math.max(1e-9, (high - low) / 2)
  const p = Math.min(degree, Math.floor((n - 1) / 4)) + 1
  const weight = new Float64Array(n).fill(1)
  let coefficients: Float64Array = new Float64Array([median(y)])
  for (let round = 0; round < 4; round++) {
    const a = new Float64Array(p * p)
    const b = new Float64Array(p)
    const power = new Float64Array(p)
    for (let i = 0; i < n; i++) {
      power[0] = 1
      for (let k = 1; k < p; k++) power[k] = (power[k - 1]! * (x[i]! - centre)) / scale
      for (let j = 0; j < p; j++) {
        b[j] = b[j]! + weight[i]! * power[j]! * y[i]!
        for (let k = 0; k < p; k++) a[j * p + k] = a[j * p + k]! + weight[i]! * power[j]! * power[k]!
      }
    }
    const solved = solveSymmetric(a, b, p)
    if (!solved) break
    coefficients = solved
    const trend = { centre, scale, coefficients }
    const errors = Float64Array.from({ length: n }, (_, i) => y[i]! - trendAt(trend, x[i]!))
    const cut = 4.685 * Math.max(robustScatter(errors), 1e-6)
    for (let i = 0; i < n; i++) weight[i] = tukey(errors[i]!, cut)
  }
  return { centre, scale, coefficients }
}

/** Value of a trend; outside the fitted range it keeps the value at the nearer end. */
export function trendAt(trend: Trend, x: number): number {
  return valueOf(trend, Math.max(-1, Math.min(1, (x - trend.centre) / trend.scale)))
}

/** Value of a trend that goes on outside the fitted range as it was inside. */
export function trendBeyond(trend: Trend, x: number): number {
  return valueOf(trend, (x - trend.centre) / trend.scale)
}

function valueOf({ coefficients }: Trend, t: number): number {
  let value = 0
  for (let k = coefficients.length - 1; k >= 0; k--) value = value * t + coefficients[k]!
  return value
}
