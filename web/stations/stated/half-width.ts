import { assertNever, standardUncertainty, type Distribution } from '../../../workers/record/index.ts'

/** How a person means the figure behind ±. */
export const shapes = [
  { kind: 'rectangular', label: 'limits: anywhere within' },
  { kind: 'triangular', label: 'limits: most likely near the value' },
  { kind: 'normal', label: 'standard uncertainty' },
] as const
export type Shape = (typeof shapes)[number]['kind']

/** The figure behind ±, as it was typed for its shape. */
export function figureOf(distribution: Distribution): number {
  switch (distribution.kind) {
    case 'normal':
      return distribution.u
    case 'rectangular':
    case 'triangular':
      return distribution.half
    default:
      return assertNever(distribution)
  }
}

export const withFigure = (kind: Shape, figure: number): Distribution =>
  kind === 'normal' ? { kind, u: figure } : { kind, half: figure }

/** The same standard uncertainty said in another shape. */
export function inShape(distribution: Distribution, kind: Shape): Distribution {
  const u = standardUncertainty(distribution)
  switch (kind) {
    case 'normal':
      return { kind, u }
    case 'rectangular':
      return { kind, half: u * Math.sqrt(3) }
    case 'triangular':
      return { kind, half: u * Math.sqrt(6) }
    default:
      return assertNever(kind)
  }
}
