import type { Px } from '../../../workers/record/index.ts'

/** A line on its way into the record: `line` draws one from its two ends, `point` adds a point to one. `laneId` null: a new lane. */
export interface Drawing {
  readonly what: 'line' | 'point'
  readonly laneId: string | null
  readonly points: readonly Px[]
}

export function saysNext({ what, points }: Drawing): string {
  if (what === 'point') return 'Place one more point of the path of the ball’s centre.'
  return points.length === 0
    ? 'Place the upper end of the path of the ball’s centre.'
    : 'Place the lower end of the path of the ball’s centre.'
}
