import { bracketedRoot } from '../fit/numerics/roots.ts'
import { noncentralTCdf } from '../fit/numerics/noncentral-t.ts'
import { studentTQuantile } from '../fit/numerics/student-t.ts'

/**
 * Chance that a two-sided t test at level `alpha` sees a true difference of `d` run-to-run standard deviations between two groups of n runs.
 * n ≥ 2, d ≥ 0. Source: noncentral t, J. Cohen, Statistical Power Analysis for the Behavioral Sciences, 2nd ed. (1988), ch. 2.
 */
export function power(d: number, n: number, alpha: number): number {
  const dof = 2 * n - 2
  const t = studentTQuantile(1 - alpha / 2, dof)
  const delta = d * Math.sqrt(n / 2)
  return 1 - noncentralTCdf(t, dof, delta) + noncentralTCdf(-t, dof, delta)
}

const known = new Map<string, number>()

/** Smallest true difference, in run-to-run standard deviations, that two groups of n ≥ 2 runs show with the chance `wanted`. Kept once computed. */
export function smallestDetectable(n: number, alpha = 0.05, wanted = 0.8): number {
  if (n < 2) return Infinity
  const key = `${n} ${alpha} ${wanted}`
  let d = known.get(key)
  if (d === undefined) {
    let high = 1
    while (power(high, n, alpha) < wanted) high *= 2
    d = bracketedRoot((x) => power(x, n, alpha) - wanted, 0, high, 1e-8)
    known.set(key, d)
  }
  return d
}

/** Beyond this many runs a side, more runs are no advice any more. */
export const mostRunsAdvised = 200

/** Runs each side needs to see a difference of `d` run-to-run standard deviations; `too-many` beyond 200. */
export function runsNeeded(d: number, alpha = 0.05, wanted = 0.8): number | 'too-many' {
  // Seen with n runs as soon as it is no smaller than what n runs can show.
  const seen = (n: number) => smallestDetectable(n, alpha, wanted) <= d
  if (!(d > 0) || !seen(mostRunsAdvised)) return 'too-many'
  let low = 2
  let high = mostRunsAdvised
  while (low < high) {
    const middle = (low + high) >> 1
    if (seen(middle)) high = middle
    else low = middle + 1
  }
  return low
}
