import * as maths from '../elementary/maths.ts'
import { type Deviations, type SlowlaneRecord, type View, valueOf } from '../record/index.ts'
import { straighteningFactor } from './radial.ts'
import { fitStraightEdges, type EdgeFitProblem } from './straight-edges.ts'
import { sourceId } from './source-ids.ts'

/**
 * Radial distortion about the centre of the picture: a point that a distortion-free camera shows at radius r is shown at r·(1 + k1·r²),
 * r in units of the half diagonal. Source: Brown, "Decentering distortion of lenses", 1966, first radial term; the same sense as in
 * Zhang's and the common computer-vision convention, there with r in units of the focal length.
 */
export interface LensMap {
  readonly kind: 'lens'
  readonly k1: number
  readonly cx: number
  readonly cy: number
  /** Half diagonal [px]. */
  readonly half: number
}

/** Where the lens was not looked at: video of a phone's main camera is corrected inside the phone to about this (common practice, no source). */
export const unknownK1Half = 0.003

export const lensSourceId = (viewId: string): string => sourceId('lens', viewId)

export function frameOf(view: Pick<View, 'width' | 'height'>): { cx: number; cy: number; half: number } {
  return { cx: view.width / 2, cy: view.height / 2, half: maths.hypot(view.width, view.height) / 2 }
}

/** The lens of a view with its sources moved by `deviations`. Edges that say nothing are refused. */
export function lensOf(record: SlowlaneRecord, view: View, deviations: Deviations): LensMap | EdgeFitProblem {
  const frame = frameOf(view)
  const own = deviations.get(lensSourceId(view.id)) ?? 0
  if (!view.lens) return { kind: 'lens', k1: own, ...frame }
  switch (view.lens.kind) {
    case 'typed':
      return { kind: 'lens', k1: valueOf(view.lens.k1, record.sources, deviations), ...frame }
    case 'edges': {
      const fit = fitStraightEdges(view.lens.edges, frame, record.settings.placing_px)
      return fit.kind === 'edges' ? { kind: 'lens', k1: fit.k1 + own, ...frame } : fit
    }
  }
}

/** Where a point of the picture would stand without distortion [px]. Beyond the fold of a strong barrel it stays on the fold. */
export function undistort(lens: LensMap, x: number, y: number): { x: number; y: number } {
  if (lens.k1 === 0) return { x, y }
  const dx = (x - lens.cx) / lens.half
  const dy = (y - lens.cy) / lens.half
  const factor = straighteningFactor(lens.k1, dx * dx + dy * dy)
  return { x: lens.cx + lens.half * dx * factor, y: lens.cy + lens.half * dy * factor }
}

/** Where a point of the undistorted picture is shown [px]. */
export function distort(lens: LensMap, x: number, y: number): { x: number; y: number } {
  const dx = (x - lens.cx) / lens.half
  const dy = (y - lens.cy) / lens.half
  const factor = 1 + lens.k1 * (dx * dx + dy * dy)
  return { x: lens.cx + lens.half * dx * factor, y: lens.cy + lens.half * dy * factor }
}
