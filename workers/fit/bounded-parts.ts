import * as maths from '../elementary/maths.ts'
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
  const isBellShapedSomewhere = used.some(({ shape }) => typeof shape === 'object')
  const heavy = used.some(({ shape }) => typeof shape === 'object' && shape.dof < 30)
  // Beyond ±span the distribution is taken as empty.
  const span = heavy ? 60 : 12
  const terms: number[] = []
  for (let k = 1; k <= mostTerms; k++) {
    const w = (k * Math.PI) / span
    let product = 1
    for (const part of used) product *= characteristic(part, w)
    terms.push(product)
    if (w > 6 && Math.abs(product) < 1e-7 * k && isBellShapedSomewhere) break
  }
  // P(|X| ≤ q) and its density as Fourier series of the distribution on ±span, the sines by their recurrence.
  const inside = (q: number): { share: number; density: number } => {
    const step = (Math.PI * q) / span
    const [stepSine, stepCosine] = [maths.sin(step), maths.cos(step)]
    let [sine, cosine] = [stepSine, stepCosine]
    let share = q / span
    let density = 1 / span
    for (let k = 0; k < terms.length; k++) {
      share += (terms[k]! * sine * 2) / ((k + 1) * Math.PI)
      density += (terms[k]! * cosine * 2) / span
      const next = sine * stepCosine + cosine * stepSine
      cosine = cosine * stepCosine - sine * stepSine
      sine = next
    }
    return { share, density }
  }
  let low = 0
  let high = span * 0.9
  let q = 1.9
  for (let step = 0; step < 60 && high - low > 1e-7; step++) {
    const { share, density } = inside(q)
    if (share < coverage) low = q
    else high = q
    const newton = q - (share - coverage) / density
    if (Math.abs(newton - q) < 1e-7) return newton * total
    q = newton > low && newton < high ? newton : (low + high) / 2
  }
  return q * total
}

/** Enough for a lone rectangle, whose series converges slowest, to five digits. */
const mostTerms = 2000

function characteristic({ u, shape }: ShapedPart, w: number): number {
  if (shape === 'rectangular') return sinc(u * Math.sqrt(3) * w)
  if (shape === 'triangular') return sinc((u * Math.sqrt(6) * w) / 2) ** 2
  const x = u * w
  if (shape.dof === Infinity || shape.dof > 200) return maths.exp((-x * x) / 2)
  // Student's t is a normal of random variance dof/χ²; averaged over the probability of χ².
  const { spreads, weights } = spreadsOf(shape.dof)
  let sum = 0
  for (let i = 0; i < spreads.length; i++) sum += weights[i]! * maths.exp((-x * x * spreads[i]!) / 2)
  return sum
}

function sinc(x: number): number {
  return Math.abs(x) < 1e-4 ? 1 - (x * x) / 6 : maths.sin(x) / x
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
