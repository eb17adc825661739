/** Position over time of one run, as used by a fit: times [s] rising, positions along the lane [m], standard uncertainty of each [m]. */
export interface RunSeries {
  readonly t_s: Float64Array
  readonly s_m: Float64Array
  readonly sigma_m: Float64Array
}

/**
 * A run's marks condensed to a quadratic in time, in polynomials that are orthogonal over its own marks (weights 1/σ²), so that
 * level, slope and curvature are estimated independently of each other when the marks' noise is white:
 * s(t) = level + slope·τ + curvature·(½τ² − lift − skew·τ), τ = t − middle.
 * The same numbers as a QR of the columns 1, τ, ½τ². Source: G. E. Forsythe, J. SIAM 5 (1957) 74–88.
 */
export interface RunFit {
  readonly count: number
  /** Weighted mean of the times [s]. */
  readonly middle_s: number
  /** Weighted mean of ½τ² [s²], and its regression on τ [s]. */
  readonly lift: number
  readonly skew: number
  readonly level_m: number
  readonly slope_m_s: number
  readonly curvature_m_s2: number
  /** Σ w·q² of the three polynomials: white marks give the variances 1/norm. */
  readonly norms: readonly [number, number, number]
  readonly first_s: number
  readonly last_s: number
}

/** Condenses a run of at least three marks at different times; undefined where the times do not carry a quadratic. */
export function fitRun({ t_s, s_m, sigma_m }: RunSeries): RunFit | undefined {
  const n = t_s.length
  if (n < 3) return undefined
  let w0 = 0
  let wt = 0
  let ws = 0
  const origin = t_s[0]!
  const base = s_m[0]!
  for (let i = 0; i < n; i++) {
    const w = 1 / (sigma_m[i]! * sigma_m[i]!)
    w0 += w
    wt += w * (t_s[i]! - origin)
    ws += w * (s_m[i]! - base)
  }
  const middle = origin + wt / w0
  const level = base + ws / w0
  let w2 = 0
  let w3 = 0
  let w1s = 0
  for (let i = 0; i < n; i++) {
    const w = 1 / (sigma_m[i]! * sigma_m[i]!)
    const tau = t_s[i]! - middle
    w2 += w * tau * tau
    w3 += w * tau * tau * tau
    w1s += w * tau * (s_m[i]! - level)
  }
  if (!(w2 > 0)) return undefined
  const lift = w2 / (2 * w0)
  const skew = w3 / (2 * w2)
  const slope = w1s / w2
  let wq = 0
  let wqs = 0
  for (let i = 0; i < n; i++) {
    const w = 1 / (sigma_m[i]! * sigma_m[i]!)
    const tau = t_s[i]! - middle
    const q = 0.5 * tau * tau - lift - skew * tau
    wq += w * q * q
    wqs += w * q * (s_m[i]! - level - slope * tau)
  }
  // Two clusters of times leave a curvature of rounding only.
  if (!(wq > 1e-16 * w0 * lift * lift)) return undefined
  return {
    count: n,
    middle_s: middle,
    lift,
    skew,
    level_m: level,
    slope_m_s: slope,
    curvature_m_s2: wqs / wq,
    norms: [w0, w2, wq],
    first_s: origin,
    last_s: t_s[n - 1]!,
  }
}

/** Position [m] and speed [m/s] at the run's middle time for a given acceleration [m/s²]. */
export function atMiddle(run: RunFit, acceleration_m_s2: number): { readonly s_m: number; readonly v_m_s: number } {
  return {
    s_m: run.level_m - acceleration_m_s2 * run.lift,
    v_m_s: run.slope_m_s - acceleration_m_s2 * run.skew,
  }
}

/** Residuals in units of the marks' stated uncertainty, (s − fit)/σ. */
export function standardisedResiduals(run: RunFit, series: RunSeries, acceleration_m_s2: number): Float64Array {
  const { s_m, v_m_s } = atMiddle(run, acceleration_m_s2)
  const result = new Float64Array(series.t_s.length)
  for (let i = 0; i < result.length; i++) {
    const tau = series.t_s[i]! - run.middle_s
    result[i] = (series.s_m[i]! - s_m - v_m_s * tau - 0.5 * acceleration_m_s2 * tau * tau) / series.sigma_m[i]!
  }
  return result
}
