import type { Px } from '../../../workers/record/index.ts'

/** Points along a path, left out where they would stand closer than `least_px` to the last one kept: crosses stay crosses. */
export function thinned(points: readonly Px[], least_px: number): Px[] {
  const kept: Px[] = []
  for (const point of points) {
    const last = kept.at(-1)
    if (!last || Math.hypot(point.x - last.x, point.y - last.y) >= least_px) kept.push(point)
  }
  return kept
}
