import type { Distribution } from '../record/index.ts'
import { chiSquareQuantile } from './numerics/chi-square.ts'
import { gaussLegendre } from './numerics/quadrature.ts'

/** A part of a result's uncertainty with the shape of its distribution; `u` is its standard uncertainty in the unit of the result. */
export interface ShapedPart {
  readonly u: number
  readonly shape: Exclude<Distribution['kind'], 'normal'> | { readonly dof: number }
}

/**
 * Half width of the shortest interval about the value that holds the share `coverage` of the distribution of a sum of independent parts,
 * symmetric about 0: the propagation of distributions of JCGM 101 for a linear model, computed from the product of characteristic functions
 * instead of by random draws, so that equal records give equal intervals.
 */
export function halfWidth(parts: readonly ShapedPart[], coverage: number): number {
  const variance = parts.reduce((sum, { u }) => sum + u * u, 0)
  if (!(variance > 0)) return 0
  const total = Math.sqrt(variance)
  const used = parts.filter(({ u }) => u > 1e-6 * total).map(({ u, shape }) => ({ u: u / total, shape }))
  const heavy = used.some(({ shape }) => typeof shape === 'object' && shape.dof < 30)
  // Beyond ±span the distribution is taken as empty.
  const span = heavy ? 60 : 12
  const terms: number[] = []
  for (let k = 1; k <= 4000; k++) {
    const w = (k * Math.PI) / span
    let product = 1
    for (const part of used) product *= characteristic(part, w)
    terms.push((2 * product) / (k * Math.PI))
    if (Math.abs(product) < 1e-9 && k > 20 && !used.every(({ shape }) => typeof shape === 'string')) break
  }
  // P(|X| ≤ q) as a Fourier series of the distribution on ±span.
  const inside = (q: number): number => {
    let sum = q / span
    for (let k = 0; k < terms.length; k++) sum += terms[k]! * Math.sin(((k + 1) * Math.PI * q) / span)
    return sum
  }
  let low = 0
  let high = span * 0.9
  for (let step = 0; step < 60 && high - low > 1e-7; step++) {
    const middle = (low + high) / 2
    if (inside(middle) < coverage) low = middle
    else high = middle
  }
  return ((low + high) / 2) * total
}

function characteristic({ u, shape }: ShapedPart, w: number): number {
  if (shape === 'rectangular') return sinc(u * Math.sqrt(3) * w)
  if (shape === 'triangular') return sinc((u * Math.sqrt(6) * w) / 2) ** 2
  const x = u * w
  if (shape.dof === Infinity || shape.dof > 200) return Math.exp((-x * x) / 2)
  // Student's t is a normal of random variance dof/χ²; averaged over the probability of χ².
  const { spreads, weights } = spreadsOf(shape.dof)
  let sum = 0
  for (let i = 0; i < spreads.length; i++) sum += weights[i]! * Math.exp((-x * x * spreads[i]!) / 2)
  return sum
}

function sinc(x: number): number {
  return Math.abs(x) < 1e-4 ? 1 - (x * x) / 6 : Math.sin(x) / x
}

const { nodes, weights: nodeWeights } = gaussLegendre(48)
const spreadCache = new Map<number, { spreads: Float64Array; weights: Float64Array }>()

function spreadsOf(dof: number): { spreads: Float64Array; weights: Float64Array } {
  const key = Math.round(dof * 100) / 100
  const known = spreadCache.get(key)
  if (known) return known
  const made = {
    spreads: Float64Array.from(nodes, (node) => dof / chiSquareQuantile((1 + node) / 2, dof)),
    weights: Float64Array.from(nodeWeights, (weight) => weight / 2),
  }
  if (spreadCache.size > 500) spreadCache.clear()
  spreadCache.set(key, made)
  return made
}
