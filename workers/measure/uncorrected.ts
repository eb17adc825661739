import { type Shutter, type SlowlaneRecord, type View, noDeviations } from '../record/index.ts'
import { nearerIsStated } from './implicit-sources.ts'
import { laneGeometry } from './lane-geometry.ts'
import { distort, lensOf } from './lens.ts'
import { solveLeastSquares } from './least-squares-small.ts'
import { rowsBefore } from './time-of.ts'

/** What leaving one correction out can cost on this lane, seen by this camera, for a ball at this speed. */
export interface UncorrectedCost {
  readonly kind: 'yaw' | 'pitch' | 'parallax' | 'lens' | 'shutter'
  /** The amount taken: rad for yaw and pitch, m for parallax, k1 for the lens, s per row for the shutter. */
  readonly amount: number
  /** Error of a speed [%]. */
  readonly speed_percent: number
  /** Acceleration that is not there [m/s²]. */
  readonly acceleration_m_s2: number
}

/** How far off things are when nobody looked (common practice, no source). */
export const careless = {
  yaw_rad: (2 * Math.PI) / 180,
  pitch_rad: (4 * Math.PI) / 180,
  nearer_m: 0.005,
  k1: 0.01,
  /** A sensor that takes this long for one picture (phones: 4 … 30 ms). */
  readout_s: 0.008,
} as const

const places = 33

/**
 * The corrections that are not made for a lane, each with what it can cost here: a ball at `speed_m_s` is sent along the lane of the scene as it
 * would stand with the careless amount, and read with the record's own geometry. Empty where everything is corrected or the lane has no geometry.
 */
export function uncorrectedCosts(
  record: SlowlaneRecord,
  viewId: string,
  laneId: string,
  speed_m_s: number,
): UncorrectedCost[] {
  const view = record.views[viewId]
  const line = view?.lines[laneId]
  if (!view || !line || !(speed_m_s > 0)) return []
  const taped = (line.ticks?.length ?? 0) > 0
  const plane = line.planeId === null ? undefined : view.planes[line.planeId]
  const costs: UncorrectedCost[] = []
  const add = (kind: UncorrectedCost['kind'], amount: number, series: [number, number][] | undefined) => {
    const cost = series && costOf(series, speed_m_s)
    if (cost) costs.push({ kind, amount, ...cost })
  }
  const really = (truth: View) => read(record, view, truth, laneId, speed_m_s)
  if (plane?.kind === 'bars' && !taped) {
    const yaw = { ...view.yaw_rad, value: view.yaw_rad.value + careless.yaw_rad }
    const pitch = { ...view.pitch_rad, value: view.pitch_rad.value + careless.pitch_rad }
    add('yaw', careless.yaw_rad, really({ ...view, yaw_rad: yaw }))
    add('pitch', careless.pitch_rad, really({ ...view, pitch_rad: pitch }))
  }
  if (!nearerIsStated(view, line)) {
    const nearer_m = { value: careless.nearer_m, sources: [] }
    const lines = { ...view.lines, [laneId]: { ...line, nearer_m } }
    add('parallax', careless.nearer_m, really({ ...view, lines }))
  }
  if (!view.lens) {
    const k1 = { value: careless.k1, sources: [] }
    add('lens', careless.k1, really({ ...view, lens: { kind: 'typed', k1 } }))
  }
  if (!view.shutter) {
    const row = careless.readout_s / Math.min(view.width, view.height)
    // Rows run along the shorter side of a picture held level: a phone held level reads its rows downward, held upright sideways.
    const reads = view.width >= view.height ? 'down' : 'right'
    const cost = shutterCost(record, view, laneId, speed_m_s, row, reads)
    if (cost) costs.push(cost)
  }
  return costs
}

/** [true time, true place, read place] of a ball at constant speed in a scene that is really as `truth` says, read as `assumed` says. */
function read(
  record: SlowlaneRecord,
  assumed: View,
  truth: View,
  laneId: string,
  speed_m_s: number,
): [number, number][] | undefined {
  const real = { ...record, views: { ...record.views, [assumed.id]: truth } }
  const there = laneGeometry(real, assumed.id, laneId, noDeviations)
  const here = laneGeometry(record, assumed.id, laneId, noDeviations)
  if (there.kind !== 'lane' || here.kind !== 'lane') return undefined
  const out = new Float64Array(3)
  return Array.from({ length: places }, (_, i) => {
    const s = (there.length_m * i) / (places - 1)
    const p = there.pictureAt(s)
    const shown = distort(there.lens, p.x, p.y)
    here.project(shown.x, shown.y, out)
    return [s / speed_m_s, out[0]!]
  })
}

/** What a rolling shutter of this line time [s] and direction does to a lane's readings when it is left uncorrected. */
export function shutterCost(
  record: SlowlaneRecord,
  view: View,
  laneId: string,
  speed_m_s: number,
  lineTime_s: number,
  reads: Shutter['reads'],
): UncorrectedCost | undefined {
  const series = shutterRead(record, view, laneId, speed_m_s, lineTime_s, reads)
  const cost = series && costOf(series, speed_m_s)
  return cost && { kind: 'shutter', amount: lineTime_s, ...cost }
}

/** A rolling shutter reads each place a little later than the frame's time says. */
function shutterRead(
  record: SlowlaneRecord,
  view: View,
  laneId: string,
  speed_m_s: number,
  lineTime_s: number,
  reads: Shutter['reads'],
): [number, number][] | undefined {
  const geometry = laneGeometry(record, view.id, laneId, noDeviations)
  const lens = lensOf(record, view, noDeviations)
  if (geometry.kind !== 'lane' || lens.kind !== 'lens') return undefined
  return Array.from({ length: places }, (_, i) => {
    const s = (geometry.length_m * i) / (places - 1)
    const p = geometry.pictureAt(s)
    const shown = distort(lens, p.x, p.y)
    return [s / speed_m_s - lineTime_s * rowsBefore(reads, view, shown.x, shown.y), s]
  })
}

function costOf(series: readonly (readonly [number, number])[], speed_m_s: number) {
  const n = series.length
  const t0 = series.reduce((sum, [t]) => sum + t, 0) / n
  const span = series[n - 1]![0] - series[0]![0]
  if (!(span > 0)) return undefined
  const a = new Float64Array(3 * n)
  const b = new Float64Array(n)
  for (const [i, [t, s]] of series.entries()) {
    const q = (t - t0) / span
    a.set([1, q, (q * q) / 2], 3 * i)
    b[i] = s
  }
  const fit = solveLeastSquares(a, b, n, 3)
  if (!fit) return undefined
  return { speed_percent: 100 * (fit[1]! / span / speed_m_s - 1), acceleration_m_s2: fit[2]! / span ** 2 }
}
