import * as maths from '../../elementary/maths.ts'

/** Nodes in (−1, 1) and weights of Gauss–Legendre quadrature, from the zeros of the Legendre polynomial by Newton's
 *  method. Source: Abramowitz & Stegun 25.4.29. */
export function gaussLegendre(count: number): { readonly nodes: Float64Array; readonly weights: Float64Array } {
  const nodes = new Float64Array(count)
  const weights = new Float64Array(count)
  for (let i = 0; i < count; i++) {
    let x = maths.cos((Math.PI * (i + 0.75)) / (count + 0.5))
    let slope = 1
    for (let n = 0; n < 50; n++) {
      let before = 1
      let value = x
      for (let k = 2; k <= count; k++) {
        const next = ((2 * k - 1) * x * value - (k - 1) * before) / k
        before = value
        value = next
      }
      slope = (count * (x * value - before)) / (x * x - 1)
      const step = value / slope
      x -= step
      if (Math.abs(step) < 1e-16) break
    }
    nodes[i] = x
    weights[i] = 2 / ((1 - x * x) * slope * slope)
  }
  return { nodes, weights }
}

const rule = gaussLegendre(20)

/** The integral of `f` over the panels between consecutive breakpoints, 20 nodes in each. */
export function integratePanels(f: (x: number) => number, breakpoints: readonly number[]): number {
  let sum = 0
  for (let panel = 1; panel < breakpoints.length; panel++) {
    const low = breakpoints[panel - 1]!
    const half = (breakpoints[panel]! - low) / 2
    if (half <= 0) continue
    for (let i = 0; i < rule.nodes.length; i++) sum += half * rule.weights[i]! * f(low + half * (1 + rule.nodes[i]!))
  }
  return sum
}
