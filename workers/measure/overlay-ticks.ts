import * as maths from '../elementary/maths.ts'
import { type Px, type SlowlaneRecord, noDeviations } from '../record/index.ts'
import { applyHomography } from './homography.ts'
import { laneGeometry } from './lane-geometry.ts'
import type { LaneProblem } from './lane-line.ts'
import { type LensMap, distort } from './lens.ts'
import { type PlaneMap, type PlaneProblem, planeMapOf } from './plane-map.ts'
import { readBars } from './camera-plane.ts'

/** A tick to be drawn over the picture, from `a` (on the edge or lane) to `b`. */
export interface OverlayTick {
  readonly a: Px
  readonly b: Px
  /** Place along its edge or lane [mm]. */
  readonly mm: number
  readonly size: 'fine' | 'middle' | 'labelled'
}

/** Steps a ruler may have [mm]. */
const steps_mm = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000]
/** Ticks closer than this blur into a bar [px of the picture, at the scale it is shown]. */
const closest_px = 6
const length_px = { fine: 5, middle: 8, labelled: 12 }
const mostTicks = 2000

/** Millimetre ticks along the edges of a plane (the sides of a rectangle or of the box around known points, the bars themselves). `zoom`: screen pixels per picture pixel. */
export function planeTicks(
  record: SlowlaneRecord,
  viewId: string,
  planeId: string,
  zoom = 1,
): readonly OverlayTick[] | PlaneProblem {
  const view = record.views[viewId]
  const plane = view?.planes[planeId]
  if (!view || !plane) return { kind: 'plane-missing', planeId }
  const map = planeMapOf(record, view, planeId, noDeviations)
  if (map.kind !== 'plane') return map
  return edgesOf(record, viewId, map, planeId).flatMap(([a, b]) => {
    const length = maths.hypot(b.x - a.x, b.y - a.y)
    const at = (s: number) => {
      const p = applyHomography(map.toPicture, a.x + ((b.x - a.x) * s) / length, a.y + ((b.y - a.y) * s) / length)
      return distort(map.lens, p.x, p.y)
    }
    return ticksAlong(at, length, zoom)
  })
}

/** Millimetre ticks along a lane from its start, across its line. */
export function laneTicks(
  record: SlowlaneRecord,
  viewId: string,
  laneId: string,
  zoom = 1,
): readonly OverlayTick[] | LaneProblem {
  const geometry = laneGeometry(record, viewId, laneId, noDeviations)
  if (geometry.kind !== 'lane') return geometry
  const at = (s: number) => shown(geometry.lens, geometry.pictureAt(s))
  return ticksAlong(at, geometry.length_m, zoom)
}

const shown = (lens: LensMap, p: Px) => distort(lens, p.x, p.y)

function edgesOf(record: SlowlaneRecord, viewId: string, map: PlaneMap, planeId: string): [Px, Px][] {
  const view = record.views[viewId]!
  const plane = view.planes[planeId]!
  if (plane.kind === 'bars') {
    const bars = readBars(record, view, plane, map.lens, noDeviations)
    if (!Array.isArray(bars)) return []
    const on = (p: Px) => applyHomography(map.toMetres, p.x, p.y)
    return bars.map((bar) => [on(bar.a), on(bar.b)])
  }
  const xs = map.anchors.map((anchor) => anchor.x_m)
  const ys = map.anchors.map((anchor) => anchor.y_m)
  const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)]
  return [
    [
      { x: left, y: top },
      { x: right, y: top },
    ],
    [
      { x: right, y: top },
      { x: right, y: bottom },
    ],
    [
      { x: left, y: bottom },
      { x: right, y: bottom },
    ],
    [
      { x: left, y: top },
      { x: left, y: bottom },
    ],
  ]
}

function ticksAlong(at: (s_m: number) => Px, length_m: number, zoom: number): OverlayTick[] {
  // The narrowest place decides the step, so that the ruler reads the same all along.
  let narrowest = Infinity
  for (let i = 0; i < 16; i++) {
    const [p, q] = [at((length_m * i) / 16), at((length_m * (i + 1)) / 16)]
    narrowest = Math.min(narrowest, (maths.hypot(q.x - p.x, q.y - p.y) * 16) / (length_m * 1000))
  }
  const step = steps_mm.find((mm) => mm * narrowest * zoom >= closest_px && (length_m * 1000) / mm <= mostTicks)
  if (step === undefined) return []
  const ticks: OverlayTick[] = []
  // 1e-6: a lane of 400 mm has its tick at 400 whatever its last digit.
  for (let mm = 0; mm <= length_m * 1000 + 1e-6; mm += step) {
    const s = mm / 1000
    const a = at(s)
    const h = length_m / 1000
    const [before, after] = [at(Math.max(0, s - h)), at(Math.min(length_m, s + h))]
    const along = maths.hypot(after.x - before.x, after.y - before.y) || 1
    const size = mm % (10 * step) === 0 ? 'labelled' : mm % (5 * step) === 0 ? 'middle' : 'fine'
    const reach = length_px[size] / zoom
    // To the left of the way, which is up for a lane that runs to the right.
    const b = {
      x: a.x + ((after.y - before.y) / along) * reach,
      y: a.y - ((after.x - before.x) / along) * reach,
    }
    ticks.push({ a, b, mm, size })
  }
  return ticks
}
