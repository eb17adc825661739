import * as maths from '../elementary/maths.ts'
import { type Deviations, type LaneLine, type SlowlaneRecord, type View, valueOf } from '../record/index.ts'
import { standFromBars, standHomography } from './camera-plane.ts'
import { invertHomography } from './homography.ts'
import { commonFactor, ownUncertainty } from './independent-parts.ts'
import { type LaneGeometry, type LaneProblem, linePoints, nearerFactor, pathThrough } from './lane-line.ts'
import { type LensMap, lensOf, undistort } from './lens.ts'
import { placed } from './placing.ts'
import { type PlaneMap, planeMapOf, uprightsOf } from './plane-map.ts'
import { projectiveScale } from './projective-scale.ts'
import { sourceId } from './source-ids.ts'
import { type TapeScale, bentTapeScale } from './tape-scale.ts'

export type TapeProblem =
  | { readonly kind: 'ticks-too-few'; readonly laneId: string; readonly have: number; readonly need: number }
  | { readonly kind: 'ticks-too-close'; readonly laneId: string; readonly px: number; readonly need: number }
  | { readonly kind: 'ticks-order'; readonly laneId: string; readonly s_m: number }
  | { readonly kind: 'ticks-no-map'; readonly laneId: string }

export const tickPositionId = (viewId: string, laneId: string, i: number): string =>
  sourceId('tick', viewId, laneId, String(i))
export const tapeBendId = (viewId: string, laneId: string): string => sourceId('tape', viewId, laneId)

/** Ticks closer than this in the picture are refused: half a pixel is then a tenth of their distance. */
export const closestTicks_px = 5

/** A tick as it stands: u along the lane line in the undistorted picture [px], across it [px], and its arc length on the tape [m]. */
export interface TickReading {
  readonly i: number
  readonly u: number
  readonly across: number
  readonly s: number
}

/** Ticks of a lane line in the order of the line, with the sources moved; the sense of the tape against the line. */
export function readTicks(
  record: SlowlaneRecord,
  view: View,
  line: LaneLine,
  lens: LensMap,
  deviations: Deviations,
): { readonly kind: 'ticks'; readonly ticks: readonly TickReading[]; readonly sense: 1 | -1 } | LaneProblem {
  const laneId = line.laneId
  const stated = line.ticks ?? []
  if (stated.length < 3) return { kind: 'ticks-too-few', laneId, have: stated.length, need: 3 }
  const path = pathThrough(line.shape, linePoints(view, line, lens, deviations))
  if ('kind' in path) return { ...path, laneId }
  const factor = commonFactor(line.tickPosition_m, record, deviations)
  const on = new Float64Array(4)
  const ticks = stated.map((tick, i) => {
    const at = placed(tick.at, [view.id, 'tick', laneId], String(i), deviations)
    const p = undistort(lens, at.x, at.y)
    path.project(p.x, p.y, on)
    const s = factor * (tick.s_m + (deviations.get(tickPositionId(view.id, laneId, i)) ?? 0))
    return { i, u: on[0]!, across: on[1]!, s }
  })
  ticks.sort((a, b) => a.u - b.u)
  const sense = ticks[ticks.length - 1]!.s > ticks[0]!.s ? 1 : -1
  for (let k = 1; k < ticks.length; k++) {
    const [a, b] = [ticks[k - 1]!, ticks[k]!]
    if (!(b.u - a.u >= closestTicks_px))
      return { kind: 'ticks-too-close', laneId, px: b.u - a.u, need: closestTicks_px }
    if (!(sense * (b.s - a.s) > 0)) return { kind: 'ticks-order', laneId, s_m: b.s }
  }
  return { kind: 'ticks', ticks: ticks.map((tick) => ({ ...tick, s: sense * tick.s })), sense }
}

/** Lane geometry from a tick tape: lengths from the ticks, whatever plane the lane bends through. */
export function tapeGeometry(
  record: SlowlaneRecord,
  view: View,
  line: LaneLine,
  deviations: Deviations,
): LaneGeometry | LaneProblem {
  const laneId = line.laneId
  const lens = lensOf(record, view, deviations)
  if (lens.kind !== 'lens') return lens
  const read = readTicks(record, view, line, lens, deviations)
  if (read.kind !== 'ticks') return read
  const points = linePoints(view, line, lens, deviations)
  const path = pathThrough(line.shape, points)
  if ('kind' in path) return { ...path, laneId }
  const u = read.ticks.map((tick) => tick.u)
  const s = read.ticks.map((tick) => tick.s)

  const straight = line.shape === 'straight'
  const scale: TapeScale | undefined = straight
    ? projectiveScale(u, s, tickWeights(record, line, u, s))
    : bentTapeScale(u, s, deviations.get(tapeBendId(view.id, laneId)) ?? 0)
  if (!scale) return { kind: 'ticks-no-map', laneId }
  if (scale.weightAt && !(scale.weightAt(0) > 0 && scale.weightAt(path.length) > 0))
    return { kind: 'beyond-horizon', laneId }

  // A tape lies on the lane; only what the line itself says about its depth applies to it, not its plane's.
  const factor = nearerFactor(record, view, { ...line, planeId: null }, deviations)
  if (typeof factor !== 'number') return factor
  const start = scale.at(0)
  const length_m = factor * (scale.at(path.length) - start)
  const plane = planeBehind(record, view, line, lens, deviations, { u, s, factor })
  if (plane && plane.kind !== 'plane') return plane
  const on = new Float64Array(4)
  return {
    kind: 'lane',
    length_m,
    project: (x_px, y_px, out) => {
      const p = undistort(lens, x_px, y_px)
      path.project(p.x, p.y, on)
      const perPixel = factor * scale.slopeAt(on[0]!)
      out[0] = factor * (scale.at(on[0]!) - start)
      out[1] = on[1]! * perPixel
      out[2] = perPixel
    },
    pictureAt: (s_m) => path.at(invert(scale, start + s_m / factor, path.length)),
    path_m: plane ? onPlane(plane, line, points) : null,
    lens,
    plane,
  }
}

/** Standard uncertainty of each tick [m]: its own position and its placing at the local scale. */
function tickWeights(record: SlowlaneRecord, line: LaneLine, u: readonly number[], s: readonly number[]): number[] {
  const own = ownUncertainty(line.tickPosition_m, record)
  return u.map((_, k) => {
    const [a, b] = [Math.max(0, k - 1), Math.min(u.length - 1, k + 1)]
    return maths.hypot(own, (record.settings.placing_px * (s[b]! - s[a]!)) / (u[b]! - u[a]!))
  })
}

/**
 * The plane a taped lane's direction is judged on: its own, where it has one; for a straight lane without one, an upright plane before a camera
 * that stands as the view says, with the tape's ends as its bar.
 */
function planeBehind(
  record: SlowlaneRecord,
  view: View,
  line: LaneLine,
  lens: LensMap,
  deviations: Deviations,
  tape: { readonly u: readonly number[]; readonly s: readonly number[]; readonly factor: number },
): PlaneMap | LaneProblem | null {
  if (line.planeId !== null) return planeMapOf(record, view, line.planeId, deviations)
  if (line.shape !== 'straight' || !(valueOf(view.distance_m, record.sources, deviations) > 0)) return null
  const path = pathThrough('straight', linePoints(view, line, lens, deviations))
  if ('kind' in path) return { ...path, laneId: line.laneId }
  const last = tape.u.length - 1
  const a = path.at(tape.u[0]!)
  const b = path.at(tape.u[last]!)
  const length_m = tape.s[last]! - tape.s[0]!
  const bar = { id: 'tape', a, b, length_m, u_m: length_m / 1000, px: tape.u[last]! - tape.u[0]! }
  const uprights = uprightsOf(record, view, null, lens, deviations)
  const stand = standFromBars(record, view, [bar], uprights, deviations)
  if ('kind' in stand) return null
  const toMetres = standHomography(stand, view)
  const toPicture = invertHomography(toMetres)
  return toPicture ? { kind: 'plane', toMetres, toPicture, lens, stand, anchors: [] } : null
}

function onPlane(plane: PlaneMap, line: LaneLine, points: ReturnType<typeof linePoints>) {
  const h = plane.toMetres
  const path = pathThrough(
    line.shape,
    points.map(({ x, y }) => {
      const w = h[6]! * x + h[7]! * y + h[8]!
      return { x: (h[0]! * x + h[1]! * y + h[2]!) / w, y: (h[3]! * x + h[4]! * y + h[5]!) / w }
    }),
  )
  return 'kind' in path ? null : path
}

/** u of a given s: bisection between the line's ends, the map rises. */
function invert(scale: { readonly at: (u: number) => number }, s: number, length: number): number {
  let low = -0.5 * length
  let high = 1.5 * length
  for (let step = 0; step < 60; step++) {
    const middle = (low + high) / 2
    if (scale.at(middle) < s) low = middle
    else high = middle
  }
  return (low + high) / 2
}
