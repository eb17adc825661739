import { zeros, type Matrix } from './matrix.ts'

/** ∛(2⁻⁵²): balances rounding against the third-order error of a central difference. */
const STEP = 6.0554544523933395e-6

/** ∂f_i/∂x_j by central differences, relative error about 1e-10 for smooth functions.
 *
 *  `typical` gives the size of parameters that may be 0. Source: Dennis & Schnabel, Numerical Methods for Unconstrained
 *  Optimization and Nonlinear Equations (1983), section 5.4. */
export function centralDifferences(
  f: (x: Float64Array) => ArrayLike<number>,
  x: Float64Array,
  typical?: ArrayLike<number>,
): Matrix {
  const probe = x.slice()
  let result: Matrix | null = null
  for (let j = 0; j < x.length; j++) {
    const size = Math.max(Math.abs(x[j]!), Math.abs(typical?.[j] ?? 0)) || 1
    probe[j] = x[j]! + STEP * size
    const stepUp = probe[j]! - x[j]!
    // Copied: the function may hand out the same array every time.
    const up = Float64Array.from(f(probe))
    probe[j] = x[j]! - STEP * size
    const stepDown = x[j]! - probe[j]!
    const down = f(probe)
    probe[j] = x[j]!
    result ??= zeros(up.length, x.length)
    for (let i = 0; i < up.length; i++) result.data[i * x.length + j] = (up[i]! - down[i]!) / (stepUp + stepDown)
  }
  return result ?? zeros(0, 0)
}

/** The derivatives of a function of several numbers, by central differences: the sensitivity coefficients of JCGM 100,
 *  5.1.3. `steps` are the half widths; a tenth of each standard uncertainty is a good choice. */
export function sensitivities(
  f: (x: Float64Array) => number,
  x: ArrayLike<number>,
  steps: ArrayLike<number>,
): Float64Array {
  const probe = Float64Array.from(x)
  return Float64Array.from({ length: probe.length }, (_, j) => {
    const step = steps[j]!
    if (!(step > 0)) return 0
    const centre = probe[j]!
    probe[j] = centre + step
    const up = f(probe)
    probe[j] = centre - step
    const down = f(probe)
    probe[j] = centre
    return (up - down) / (2 * step)
  })
}
