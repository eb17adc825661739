/**
 * Flat washers, product grade A: nominal thickness and its limits [m].
 * Source: ISO 7089:2000, table 1 (nominal thickness; limits from memory: ± 0.05 … ± 0.2 mm by size).
 */
export const flatWashers = [
  { size: 'M3', thickness_m: 0.5e-3, limit_m: 0.05e-3 },
  { size: 'M4', thickness_m: 0.8e-3, limit_m: 0.1e-3 },
  { size: 'M5', thickness_m: 1.0e-3, limit_m: 0.1e-3 },
  { size: 'M6', thickness_m: 1.6e-3, limit_m: 0.2e-3 },
  { size: 'M8', thickness_m: 1.6e-3, limit_m: 0.2e-3 },
  { size: 'M10', thickness_m: 2.0e-3, limit_m: 0.2e-3 },
] as const
export type FlatWasher = (typeof flatWashers)[number]

export interface WasherStack {
  readonly washers: readonly { readonly size: string; readonly count: number }[]
  readonly height_m: number
  /** Standard uncertainty of the height: √Σ limit²/3, limits taken as rectangular (JCGM 100:2008, 4.3.7). */
  readonly u_m: number
}

/** No more washers than this under one support: a taller stack rocks; a block is the better shim. */
const mostWashers = 8
/** Kinds of washer mixed in one stack. */
const mostKinds = 2

function stackOf(parts: readonly { washer: FlatWasher; count: number }[]): WasherStack {
  return {
    washers: parts.filter((part) => part.count > 0).map(({ washer, count }) => ({ size: washer.size, count })),
    height_m: parts.reduce((sum, { washer, count }) => sum + count * washer.thickness_m, 0),
    u_m: Math.sqrt(parts.reduce((sum, { washer, count }) => sum + (count * washer.limit_m ** 2) / 3, 0)),
  }
}

/** Which side of the wanted height a stack must keep to. */
export type StackSide = 'nearest' | 'at-least' | 'at-most'

/**
 * The stack nearest to a height [m], of at most two kinds and eight washers in all, on the side asked for.
 * Of equally near stacks the one with fewer washers. `none` for heights below half the thinnest washer or above the tallest stack.
 */
export function washerStack(
  height_m: number,
  side: StackSide,
): WasherStack | { readonly kind: 'none'; readonly least_m: number; readonly most_m: number } {
  const stacks: WasherStack[] = []
  flatWashers.forEach((first, i) => {
    for (let a = 1; a <= mostWashers; a++) {
      stacks.push(stackOf([{ washer: first, count: a }]))
      for (const second of flatWashers.slice(i + 1)) {
        for (let b = 1; a + b <= mostWashers && mostKinds > 1; b++)
          stacks.push(
            stackOf([
              { washer: first, count: a },
              { washer: second, count: b },
            ]),
          )
      }
    }
  })
  const least_m = Math.min(...flatWashers.map((washer) => washer.thickness_m)) / 2
  const most_m = Math.max(...stacks.map((stack) => stack.height_m))
  if (!(height_m >= least_m) || height_m > most_m) return { kind: 'none', least_m, most_m }
  const count = (stack: WasherStack): number => stack.washers.reduce((sum, part) => sum + part.count, 0)
  // A hair of tolerance, so that 1.5 mm is not refused by a stack of 1.0 + 0.5 in floating point.
  const allowed = stacks.filter((stack) => {
    if (side === 'at-least') return stack.height_m >= height_m - 1e-9
    return side === 'nearest' || stack.height_m <= height_m + 1e-9
  })
  if (allowed.length === 0) return { kind: 'none', least_m, most_m }
  const miss = (stack: WasherStack): number => Math.round(Math.abs(stack.height_m - height_m) * 1e8)
  return allowed.reduce((best, stack) =>
    miss(stack) < miss(best) || (miss(stack) === miss(best) && count(stack) < count(best)) ? stack : best,
  )
}
