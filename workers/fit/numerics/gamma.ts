import * as maths from '../../elementary/maths.ts'

/** ½·ln 2π */
const HALF_LOG_TWO_PI = 0.91893853320467274178
const MOST_TERMS = 1_000_000

/** ln Γ(x) − [(x − ½) ln x − x + ½ ln 2π] for x ≥ 10: the remainder of Stirling's series, to 1e-17.
 *  Source: Abramowitz & Stegun, Handbook of Mathematical Functions, 6.1.40. */
export function stirlingRemainder(x: number): number {
  const z = 1 / (x * x)
  const series =
    1 / 12 -
    z *
      (1 / 360 -
        z * (1 / 1260 - z * (1 / 1680 - z * (1 / 1188 - z * (691 / 360360 - z * (1 / 156 - z * (3617 / 122400)))))))
  return series / x
}

/** ln Γ(x), x > 0. Throws otherwise. */
export function logGamma(x: number): number {
  if (!(x > 0)) throw new RangeError(`ln Γ is asked for at ${x}; it needs a positive number.`)
  if (x === Infinity) return Infinity
  let product = 1
  let shifted = x
  while (shifted < 10) product *= shifted++
  const stirling = (shifted - 0.5) * maths.log(shifted) - shifted + HALF_LOG_TWO_PI + stirlingRemainder(shifted)
  return stirling - maths.log(product)
}

/** ln B(a, b) = ln Γ(a)Γ(b)/Γ(a+b), a, b > 0, without the cancellation of three large logarithms.
 *  Source: DiDonato & Morris, ACM Trans. Math. Softw. 18 (1992) 360–373 (their use of the Stirling remainder). */
export function logBeta(a: number, b: number): number {
  const small = Math.min(a, b)
  const large = Math.max(a, b)
  if (large < 10) return logGamma(small) + logGamma(large) - logGamma(small + large)
  const remainder = stirlingRemainder(large) - stirlingRemainder(small + large)
  if (small < 10)
    return (
      logGamma(small) - (large - 0.5) * maths.log1p(small / large) - small * (maths.log(small + large) - 1) + remainder
    )
  const ratio = small / large
  return (
    -0.5 * maths.log(large) +
    HALF_LOG_TWO_PI +
    stirlingRemainder(small) +
    remainder +
    (small - 0.5) * maths.log(ratio / (1 + ratio)) -
    large * maths.log1p(ratio)
  )
}

/** The regularised incomplete gamma functions P(a, x) = γ(a, x)/Γ(a) and Q = 1 − P, each without cancellation;
 *  a > 0, x ≥ 0. Source: Abramowitz & Stegun 6.5.29 (series) and 6.5.31 (continued fraction). */
export function regularisedGamma(a: number, x: number): { readonly lower: number; readonly upper: number } {
  if (!(a > 0) || !(x >= 0)) throw new RangeError(`The incomplete gamma function is not defined at a = ${a}, x = ${x}.`)
  if (x === 0) return { lower: 0, upper: 1 }
  if (x === Infinity) return { lower: 1, upper: 0 }
  const factor = maths.exp(logGammaKernel(a, x))
  if (x < a + 1) {
    let term = 1 / a
    let sum = term
    for (let n = 1; n < MOST_TERMS; n++) {
      term *= x / (a + n)
      sum += term
      if (term < sum * 1e-17) break
    }
    const lower = Math.min(1, factor * sum)
    return { lower, upper: 1 - lower }
  }
  let b = x + 1 - a
  let c = 1e300
  let d = 1 / b
  let fraction = d
  for (let n = 1; n < MOST_TERMS; n++) {
    const an = -n * (n - a)
    b += 2
    d = 1 / guarded(an * d + b)
    c = guarded(b + an / c)
    const change = d * c
    fraction *= change
    if (Math.abs(change - 1) < 1e-16) break
  }
  const upper = Math.min(1, factor * fraction)
  return { lower: 1 - upper, upper }
}

/** ln of xᵃ e⁻ˣ / Γ(a), kept accurate where a and x are both large. */
function logGammaKernel(a: number, x: number): number {
  if (a < 10) return a * maths.log(x) - x - logGamma(a)
  const excess = (x - a) / a
  const deviance = Math.abs(excess) < 0.1 ? log1pMinus(excess) : maths.log(x / a) - excess
  return a * deviance + 0.5 * maths.log(a) - HALF_LOG_TWO_PI - stirlingRemainder(a)
}

/** ln(1 + e) − e for small e, by its series. */
function log1pMinus(e: number): number {
  let power = -e * e
  let sum = 0
  for (let n = 2; n < 40; n++) {
    sum += power / n
    power *= -e
  }
  return sum
}

/** Keeps Lentz's continued fraction from dividing by nothing. */
export function guarded(value: number): number {
  return Math.abs(value) < 1e-300 ? 1e-300 : value
}
