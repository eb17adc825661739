import * as maths from '../elementary/maths.ts'
import {
  type Deviations,
  type Plane,
  type Px,
  type ScaleBar,
  type SlowlaneRecord,
  type View,
  noDeviations,
  statedUncertainty,
  valueOf,
} from '../record/index.ts'
import { spanOfShown } from './check-line.ts'
import { applyHomography } from './homography.ts'
import { allSources } from './implicit-sources.ts'
import { distort } from './lens.ts'
import { type PlaneMap, type PlaneProblem, planeMapOf } from './plane-map.ts'
import { propagate } from './propagate.ts'
import { planeSourceIds } from './run-sources.ts'

/** Where a calibration point was placed, where the fitted plane would have it, and how far apart on the plane. */
export interface ResidualArrow {
  readonly name: string
  readonly from: Px
  readonly to: Px
  readonly distance_m: number
}

/** A bar's stated length against what the plane makes of it. */
export interface BarCheck {
  readonly barId: string
  readonly stated_m: number
  readonly found_m: number
  /** Standard uncertainty of the difference. */
  readonly u_m: number
  /** The two differ by more than three standard uncertainties. */
  readonly contradicts: boolean
}

export interface PlaneReport {
  readonly kind: 'plane-report'
  readonly map: PlaneMap
  /** Empty where four points leave nothing over. */
  readonly arrows: readonly ResidualArrow[]
  readonly checks: readonly BarCheck[]
  /** Metres per pixel in the middle of the calibration, with its relative standard uncertainty. */
  readonly scale: { readonly mPerPx: number; readonly uRelative: number }
}

/** How well a plane's own calibration agrees with itself. */
export function planeReport(record: SlowlaneRecord, viewId: string, planeId: string): PlaneReport | PlaneProblem {
  const view = record.views[viewId]
  const plane = view?.planes[planeId]
  if (!view || !plane) return { kind: 'plane-missing', planeId }
  const map = planeMapOf(record, view, planeId, noDeviations)
  if (map.kind !== 'plane') return map
  const middle = middleOf(plane)
  const scale = propagate(planeSourceIds(record, view, planeId), allSources(record), (deviations) => {
    const moved = planeMapOf(record, view, planeId, deviations)
    if (moved.kind !== 'plane') return undefined
    return spanOfShown(moved, { x: middle.x - 10, y: middle.y }, { x: middle.x + 10, y: middle.y }) / 20
  })!
  return {
    kind: 'plane-report',
    map,
    arrows: arrowsOf(map),
    checks: checksOf(record, view, plane),
    scale: { mPerPx: scale.value, uRelative: scale.u / scale.value },
  }
}

function arrowsOf(map: PlaneMap): ResidualArrow[] {
  if (map.anchors.length <= 4) return []
  return map.anchors.map((anchor) => {
    const fitted = applyHomography(map.toPicture, anchor.x_m, anchor.y_m)
    const found = applyHomography(map.toMetres, anchor.at.x, anchor.at.y)
    return {
      name: anchor.name,
      from: distort(map.lens, anchor.at.x, anchor.at.y),
      to: distort(map.lens, fitted.x, fitted.y),
      distance_m: maths.hypot(found.x - anchor.x_m, found.y - anchor.y_m),
    }
  })
}

/** Bars against their plane: the several bars of a plane that they set themselves, and the bars that check a rectangle or known points. */
function checksOf(record: SlowlaneRecord, view: View, plane: Plane): BarCheck[] {
  const bars = plane.kind === 'bars' ? (plane.bars.length > 1 ? plane.bars : []) : (plane.checks ?? [])
  return bars.map((bar) => checkOf(record, view, plane, bar))
}

function checkOf(record: SlowlaneRecord, view: View, plane: Plane, bar: ScaleBar): BarCheck {
  // A bar among others is held against what the others say without it.
  const others: Plane =
    plane.kind === 'bars' ? { ...plane, bars: plane.bars.filter((other) => other.id !== bar.id) } : plane
  const seen: View = { ...view, planes: { ...view.planes, [plane.id]: others } }
  const length = (deviations: Deviations) => {
    const map = planeMapOf(record, seen, plane.id, deviations)
    return map.kind === 'plane' ? spanOfShown(map, bar.a, bar.b) : undefined
  }
  const stated_m = valueOf(bar.length_m, record.sources, noDeviations)
  const found = propagate(planeSourceIds(record, seen, plane.id), allSources(record), length)
  const found_m = found?.value ?? NaN
  const px = maths.hypot(bar.b.x - bar.a.x, bar.b.y - bar.a.y)
  const placing = (Math.SQRT2 * record.settings.placing_px * found_m) / px
  const u_m = maths.hypot(found?.u ?? 0, placing, statedUncertainty(bar.length_m, record.sources))
  return { barId: bar.id, stated_m, found_m, u_m, contradicts: Math.abs(found_m - stated_m) > 3 * u_m }
}

/** The calibration points of a plane in the displayed picture. */
export function calibrationPoints(plane: Plane): readonly Px[] {
  switch (plane.kind) {
    case 'bars':
      return plane.bars.flatMap((bar) => [bar.a, bar.b])
    case 'rectangle':
      return plane.corners
    case 'points':
      return plane.points.map((point) => point.at)
  }
}

function middleOf(plane: Plane): Px {
  const points = calibrationPoints(plane)
  return {
    x: points.reduce((sum, p) => sum + p.x, 0) / points.length,
    y: points.reduce((sum, p) => sum + p.y, 0) / points.length,
  }
}
