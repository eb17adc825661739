import type { Px } from '../../../workers/record/index.ts'

/**
 * A line on its way into the record: `line` draws one from its two ends, `bent` through as many points as the person places, `point` adds a point
 * to one. `laneId` null: a new lane.
 */
export interface Drawing {
  readonly what: 'line' | 'bent' | 'point'
  readonly laneId: string | null
  readonly points: readonly Px[]
}

/** A smooth curve needs as many before it can be told from a straight line. */
export const fewestBent = 3

export function saysNext({ what, points }: Drawing): string {
  if (what === 'point') return 'Place one more point of the path of the ball’s centre.'
  if (points.length === 0) return 'Place the upper end of the path of the ball’s centre.'
  return what === 'line'
    ? 'Place the lower end of the path of the ball’s centre.'
    : 'Place the next point along the path, the lower end last; then say that it is all.'
}
