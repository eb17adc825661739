import type { Px } from '../../workers/record/index.ts'
import { toStage, type Sight } from './sight.ts'

/** A point of the picture that can be taken and moved. `label` is its accessible name. */
export interface Handle {
  readonly id: string
  readonly at: Px
  readonly label: string
}

/** How near the pointer must come [CSS px]; a finger is less exact than a mouse. Half of 24 px is the least target of WCAG 2.2, 2.5.8. */
export const reach: Record<string, number> = { mouse: 12, pen: 16, touch: 26 }

/** The handle nearest to a stage point within reach, or undefined. */
export function handleAt<H extends Handle>(handles: readonly H[], sight: Sight, at: Px, within: number): H | undefined {
  let best: H | undefined
  let bestDistance = within
  for (const handle of handles) {
    const on = toStage(sight, handle.at)
    const distance = Math.hypot(on.x - at.x, on.y - at.y)
    if (distance <= bestDistance) {
      best = handle
      bestDistance = distance
    }
  }
  return best
}
