import { distort, lensOf, undistort } from '../../workers/measure/lens.ts'
import { planeReport } from '../../workers/measure/plane-report.ts'
import { noDeviations, type Px, type SlowlaneRecord, type View } from '../../workers/record/index.ts'
import { laneStroke } from './lane-stroke.ts'
import type { OverlayItem, Tick } from './overlay.ts'
import type { Shown } from './view-overlay.ts'

const asRecorded: Shown = (_, at) => at

/** The magnification at which the longest arrow is well seen: 1, 2 or 5 times a power of ten. Null where there is nothing to see. */
export function magnification(longest_px: number, wanted_px: number): number | null {
  if (!(longest_px > 1e-6)) return null
  const most = wanted_px / longest_px
  const power = 10 ** Math.floor(Math.log10(most))
  const step = [5, 2, 1].find((k) => k * power <= most) ?? 1
  return Math.max(1, step * power)
}

/** Where the fitted plane would have each calibration point, from where it was placed, magnified. `zoom`: screen px per picture px. */
export function residualItems(
  record: SlowlaneRecord,
  viewId: string,
  planeId: string,
  zoom: number,
): { readonly items: OverlayItem[]; readonly times: number | null } {
  const report = planeReport(record, viewId, planeId)
  if (report.kind !== 'plane-report') return { items: [], times: null }
  const longest = Math.max(0, ...report.arrows.map(({ from, to }) => Math.hypot(to.x - from.x, to.y - from.y)))
  const times = magnification(longest, 60 / zoom)
  if (times === null) return { items: [], times }
  const arrows = report.arrows.map(({ from, to }) => ({
    a: from,
    b: { x: from.x + times * (to.x - from.x), y: from.y + times * (to.y - from.y) },
  }))
  return { items: [{ kind: 'arrows', id: `residuals ${planeId}`, arrows, colour: 'var(--caution)' }], times }
}

/** Straight edges of the lens: each as it would be straight with the curvature found, drawn as it is then seen, and its points. */
export function edgeItems(
  record: SlowlaneRecord,
  view: View,
  shown: (edge: number) => Shown = () => asRecorded,
): OverlayItem[] {
  if (view.lens?.kind !== 'edges') return []
  const lens = lensOf(record, view, noDeviations)
  return view.lens.edges.flatMap((points, i): OverlayItem[] => {
    const placed = points.map((p, k) => shown(i)(k, p))
    const dots: OverlayItem = { kind: 'crosses', id: `edge ${i}`, points: placed, colour: 'var(--accent)', found: true }
    if (lens.kind !== 'lens' || placed.length < 2) return [dots]
    const straight = bestLine(placed.map((p) => undistort(lens, p.x, p.y)))
    const course = Array.from({ length: 41 }, (_, k) => {
      const part = k / 40
      return distort(
        lens,
        straight.a.x + part * (straight.b.x - straight.a.x),
        straight.a.y + part * (straight.b.y - straight.a.y),
      )
    })
    return [{ kind: 'line', id: `edge ${i}`, points: course, stroke: { colour: 'var(--accent)' } }, dots]
  })
}

/** Least-squares line through points, from the first's foot to the last's. */
function bestLine(points: readonly Px[]): { readonly a: Px; readonly b: Px } {
  const n = points.length
  const mx = points.reduce((sum, p) => sum + p.x, 0) / n
  const my = points.reduce((sum, p) => sum + p.y, 0) / n
  let [xx, xy, yy] = [0, 0, 0]
  for (const p of points) {
    xx += (p.x - mx) ** 2
    xy += (p.x - mx) * (p.y - my)
    yy += (p.y - my) ** 2
  }
  const angle = 0.5 * Math.atan2(2 * xy, xx - yy)
  const [dx, dy] = [Math.cos(angle), Math.sin(angle)]
  const foot = (p: Px): Px => {
    const along = (p.x - mx) * dx + (p.y - my) * dy
    return { x: mx + along * dx, y: my + along * dy }
  }
  return { a: foot(points[0]!), b: foot(points[n - 1]!) }
}

/** Ticks of every tape in a view, with their numbers, across the lane. */
export function tapeItems(
  record: SlowlaneRecord,
  view: View,
  zoom: number,
  shown: (laneId: string) => Shown = () => asRecorded,
): OverlayItem[] {
  return Object.values(view.lines).flatMap((line): OverlayItem[] => {
    if (!line.ticks || line.ticks.length === 0) return []
    const reach = 12 / zoom
    const ticks = line.ticks.map((tick, i): Tick => {
      const at = shown(line.laneId)(i, tick.at)
      return { a: at, b: { x: at.x, y: at.y + reach }, label: String(Number((1000 * tick.s_m).toFixed(1))) }
    })
    return [{ kind: 'ticks', id: `tape ${line.laneId}`, ticks, colour: laneStroke(record, line.laneId).colour }]
  })
}
