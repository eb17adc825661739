import type { Px } from '../../../workers/record/index.ts'

/** Everything that is placed on this station. */
export type PlacedWhat = 'bar' | 'rectangle' | 'points' | 'check' | 'plumb' | 'level' | 'edge' | 'ticks' | 'still'

/** What is being placed and not yet in the record: it enters when what is known of it is stated. */
export interface Placing {
  readonly what: PlacedWhat
  /** The plane a further bar or a check line belongs to; null: a new plane. */
  readonly planeId: string | null
  /** The lane whose tape is placed. */
  readonly laneId?: string
  readonly points: readonly Px[]
  /** Exactly where pressed: nothing settles on what is seen. */
  readonly exact?: boolean
  /** The person said that no more points follow. */
  readonly done?: boolean
  /** How well its points are known after settling [px]. */
  readonly u_px?: number
  /** What became of the settling, as a sentence. */
  readonly says?: string
}

/** How many points it takes; where `most` is greater, the person says when it is enough. */
export const counts: Readonly<Record<PlacedWhat, { readonly least: number; readonly most: number }>> = {
  bar: { least: 2, most: 2 },
  check: { least: 2, most: 2 },
  plumb: { least: 2, most: 2 },
  level: { least: 2, most: 2 },
  rectangle: { least: 4, most: 4 },
  points: { least: 4, most: 100 },
  edge: { least: 3, most: 60 },
  ticks: { least: 3, most: 200 },
  still: { least: 2, most: 12 },
}

export const isPlaced = ({ what, points, done }: Placing): boolean =>
  (done ?? false) || points.length >= counts[what].most
/** True while the person may say that it is enough. */
export const mayEnd = (placing: Placing): boolean =>
  !isPlaced(placing) && placing.points.length >= counts[placing.what].least

const order = ['first', 'second', 'third', 'fourth', 'fifth', 'sixth'] as const

/** What a press on the picture places next. */
export function saysNext({ what, points }: Placing): string {
  const nth = order[points.length] ?? 'next'
  switch (what) {
    case 'bar':
      return `Place the ${nth} end of the scale bar.`
    case 'rectangle':
      return `Place the ${nth} corner, going round the rectangle.`
    case 'points':
      return `Place the ${nth} point of known position.`
    case 'check':
      return `Place the ${nth} end of the thing to check.`
    case 'plumb':
      return `Place the ${nth} point on the string, far from the other.`
    case 'level':
      return `Place the ${nth} point on the level edge, far from the other.`
    case 'edge':
      return `Place the ${nth} point along the straight edge, from one end to the other.`
    case 'ticks':
      return `Place the ${nth} tick of the tape, in the order of its numbers.`
    case 'still':
      return `Place the ${nth} still thing: a corner or a spot that no ball passes.`
  }
}

export function placedName({ what }: Placing, i: number): string {
  switch (what) {
    case 'rectangle':
      return `corner ${i + 1}, not yet entered`
    case 'points':
    case 'edge':
      return `point ${i + 1}, not yet entered`
    case 'ticks':
      return `tick ${i + 1}, not yet entered`
    case 'still':
      return `still thing ${i + 1}, not yet entered`
    default:
      return `end ${i + 1}, not yet entered`
  }
}
