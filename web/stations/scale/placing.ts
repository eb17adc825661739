import type { Px } from '../../../workers/record/index.ts'

/** What is being placed and not yet in the record: it enters when its length is stated. */
export interface Placing {
  readonly what: 'bar' | 'rectangle' | 'check' | 'plumb' | 'level'
  /** The plane a further bar or a check line belongs to; null: a new plane. */
  readonly planeId: string | null
  readonly points: readonly Px[]
}

export const needed = (what: Placing['what']): number => (what === 'rectangle' ? 4 : 2)
export const isPlaced = (placing: Placing): boolean => placing.points.length >= needed(placing.what)

const order = ['first', 'second', 'third', 'fourth'] as const

/** What a press on the picture places next. */
export function saysNext({ what, points }: Placing): string {
  const nth = order[points.length] ?? 'last'
  switch (what) {
    case 'bar':
      return `Place the ${nth} end of the scale bar.`
    case 'rectangle':
      return `Place the ${nth} corner, going round the rectangle.`
    case 'check':
      return `Place the ${nth} end of the thing to check.`
    case 'plumb':
      return `Place the ${nth} point on the string, far from the other.`
    case 'level':
      return `Place the ${nth} point on the level edge, far from the other.`
  }
}

export const placedName = ({ what }: Placing, i: number): string =>
  what === 'rectangle' ? `corner ${i + 1}, not yet entered` : `end ${i + 1}, not yet entered`
