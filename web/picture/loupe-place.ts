import type { Px } from '../../workers/record/index.ts'
import type { Size } from './sight.ts'

export type Pointing = 'mouse' | 'pen' | 'touch' | 'keys'

/** Clear space between the point and the loupe's rim [CSS px]: a finger hides more than a pen. */
const clearance: Record<Pointing, number> = { mouse: 30, keys: 30, pen: 44, touch: 78 }

/**
 * Centre of the loupe on the stage [CSS px]: beside the point, never over it, whole on the stage where the stage is large enough.
 * Above is tried first (a hand comes from below), then the sides, then below; a finger is never looked at from below.
 */
export function loupePlace(at: Px, stage: Size, radius: number, pointing: Pointing): Px {
  const away = radius + clearance[pointing]
  const diagonal = away * Math.SQRT1_2
  const tries: Px[] = [
    { x: at.x + diagonal, y: at.y - diagonal },
    { x: at.x - diagonal, y: at.y - diagonal },
    { x: at.x, y: at.y - away },
    { x: at.x + away, y: at.y },
    { x: at.x - away, y: at.y },
    ...(pointing === 'touch'
      ? []
      : [
          { x: at.x + diagonal, y: at.y + diagonal },
          { x: at.x - diagonal, y: at.y + diagonal },
          { x: at.x, y: at.y + away },
        ]),
  ]
  const inside = (c: Px) =>
    c.x >= radius && c.x <= stage.width - radius && c.y >= radius && c.y <= stage.height - radius
  return tries.find(inside) ?? leastOutside(tries, stage, radius)
}

/** On a stage too small for any place, the one that reaches out least; it stays clear of the point all the same. */
function leastOutside(tries: readonly Px[], stage: Size, radius: number): Px {
  const beyond = (value: number, room: number) => Math.max(0, radius - value) + Math.max(0, value - room + radius)
  const cost = (c: Px) => beyond(c.x, stage.width) + beyond(c.y, stage.height)
  return tries.reduce((best, c) => (cost(c) < cost(best) ? c : best))
}
