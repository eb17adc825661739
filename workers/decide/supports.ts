import * as maths from '../elementary/maths.ts'
import { noDeviations, statedUncertainty, valueOf, type SlowlaneRecord } from '../record/index.ts'

/** A support of a lane, with its place along it [m]. */
export interface PlacedSupport {
  readonly id: string
  readonly name: string
  readonly at_m: number
  readonly u_m: number
}

export type Supports =
  | {
      readonly kind: 'supports'
      /** From the upper end down. */
      readonly list: readonly PlacedSupport[]
      /** Between the first and the last [m]: the base that a lift works over. */
      readonly base_m: number
      readonly base_u_m: number
    }
  | { readonly kind: 'no-supports'; readonly have: 0 | 1 }
  | { readonly kind: 'at-one-place'; readonly apart_m: number; readonly u_m: number }

/** Supports of a lane, if they make a base: two or more, farther apart than a centimetre and than three times what is doubtful about that. */
export function supportsOf(record: SlowlaneRecord, laneId: string): Supports {
  const list = (record.lanes[laneId]?.supports ?? [])
    .map(({ id, name, at_m }) => ({
      id,
      name,
      at_m: valueOf(at_m, record.sources, noDeviations),
      u_m: statedUncertainty(at_m, record.sources),
    }))
    .sort((a, b) => a.at_m - b.at_m)
  const [first, last] = [list[0], list.at(-1)]
  if (!first || !last || list.length < 2) return { kind: 'no-supports', have: list.length === 1 ? 1 : 0 }
  const base_m = last.at_m - first.at_m
  const base_u_m = maths.hypot(first.u_m, last.u_m)
  if (!(base_m > Math.max(0.01, 3 * base_u_m))) return { kind: 'at-one-place', apart_m: base_m, u_m: base_u_m }
  return { kind: 'supports', list, base_m, base_u_m }
}
