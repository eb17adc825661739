import { estimateOf, laneResults, sourceBookOf, type LaneResult, type SourceBook } from '../../workers/fit/index.ts'
import { guideNumbers } from '../../workers/fit/guide-numbers.ts'
import { drawDeviations } from '../../workers/fit/monte-carlo.ts'
import { fitMotion } from '../../workers/fit/motion-fit.ts'
import { MarkScatter, speedWithDerivatives } from '../../workers/fit/motion-reading.ts'
import type { Random } from '../../workers/fit/numerics/random.ts'
import { planLane } from '../../workers/fit/plan.ts'
import { fitSeries } from '../../workers/fit/series-fit.ts'
import { slopeOf } from '../../workers/measure/slope.ts'
import { valueOf, type Deviations, type Estimate, type SlowlaneRecord } from '../../workers/record/index.ts'
import { addSimulatedRun } from './simulated-run.ts'
import { RecordBuilder } from './record-builder.ts'

const degree = Math.PI / 180

export type WayOfMeasuring = 'one-way' | 'two-way' | 'coast-down'

/** Things about the world that no source of the record stands for. */
export interface Unknowns {
  /** Slope at the lane's start above that at its end [rad]: a bow. */
  readonly bow_rad: number
  /** Share by which the scale at the lane's end exceeds that at its start: a camera not square to a plane taken as square. */
  readonly yawScale: number
  /** Part of the deceleration that goes with speed [1/s]. */
  readonly rate_per_s: number
}
export const nothingUnknown: Unknowns = { bow_rad: 0, yawScale: 0, rate_per_s: 0 }

export interface Scene {
  readonly way: WayOfMeasuring
  /** Correlation of neighbouring marks. */
  readonly rho: number
  /** Standard deviation of the acceleration between runs [m/s²]. */
  readonly between_m_s2: number
  readonly unknowns: Unknowns
  readonly runs: number
}

export interface Trial {
  readonly result: LaneResult
  readonly book: SourceBook
  readonly truth: { readonly a: number; readonly c_rr: number; readonly v_in: number; readonly v_out: number }
  readonly estimate: {
    readonly a: Estimate
    readonly c_rr: Estimate
    readonly v_in: Estimate
    readonly v_out: Estimate
  }
  /** Half widths for somebody who knows every standard deviation; null where runs scatter or the world has unknowns. */
  readonly ideal: { readonly a: number; readonly c_rr: number; readonly v_in: number; readonly v_out: number } | null
}

/** A record with ordinary doubts: rectangle and its placing, filming rate, depth, slope, groove, ball, gravity, lens. No runs yet. */
export function ordinaryRecord(way: WayOfMeasuring): SlowlaneRecord {
  const lab = new RecordBuilder({ edit: () => undefined })
  const { record } = lab
  const rectangular = (half: number) => ({ kind: 'rectangular', half }) as const
  const view = record.views['view']!
  const rate = lab.stated(240, 'rate', rectangular(0.0005), { unit: 'Hz', relative: true })
  view.timebase = { kind: 'filmed-at', rate_hz: rate, spacing: 'even' }
  const plane = view.planes['plane']!
  if (plane.kind === 'rectangle') {
    plane.width_m = lab.stated(0.42, 'width', rectangular(0.0003), { unit: 'm' })
    plane.height_m = lab.stated(0.285, 'height', rectangular(0.0003), { unit: 'm' })
    plane.nearer_m = lab.stated(0, 'depth', rectangular(0.001), { unit: 'm' })
  }
  view.distance_m = lab.stated(1.1, 'distance', { kind: 'normal', u: 0.01 }, { unit: 'm' })
  const slope_rad = way === 'coast-down' ? 0 : 1.8 * degree
  const angle = lab.stated(slope_rad, 'inclinometer', rectangular(0.1 * degree), { unit: 'rad' })
  lab.record.sources['display'] = {
    id: 'display',
    name: 'display step',
    unit: 'rad',
    distribution: rectangular(0.05 * degree),
  }
  lab.lane('A', {
    slope_rad,
    slope: { kind: 'angle', angle_rad: { ...angle, sources: ['inclinometer', 'display'] } },
    guide: {
      kind: 'v-groove',
      included_rad: lab.stated(Math.PI / 2, 'groove', rectangular(degree), { unit: 'rad' }),
    },
    diameter_m: lab.stated(0.01905, 'ball', { kind: 'normal', u: 1e-5 }, { unit: 'm' }),
  })
  record.sources['gravity'] = {
    id: 'gravity',
    name: 'gravity',
    unit: 'm/s2',
    distribution: { kind: 'normal', u: 0.005 },
  }
  record.settings.gravity.g_m_s2 = { value: 9.80665, sources: ['gravity'] }
  return record
}

/** First-order autocorrelated noise of unit variance along the lane, white across it. */
export function markNoiseOf(random: Random, rho: number): () => readonly [number, number] {
  let last = random.normal()
  const fresh = Math.sqrt(1 - rho * rho)
  return () => {
    last = rho * last + fresh * random.normal()
    return [last, random.normal()]
  }
}

/** Simulates one record of a scene with everything drawn, measures it, and sets it against the truth. */
export function runTrial(scene: Scene, random: Random): Trial | undefined {
  const record = ordinaryRecord(scene.way)
  const bookBefore = sourceBookOf(record)
  const deviations = drawDeviations(bookBefore, Object.keys(bookBefore.sources), random)
  const crr = scene.way === 'coast-down' ? random.between(0.002, 0.006) : random.between(0.004, 0.011)
  const world = worldOf(record, deviations)
  const truth: { a: number; v0: number; s0: number; travel: 1 | -1 }[] = []
  for (let i = 0; i < scene.runs; i++) {
    const travel = scene.way === 'two-way' && i % 2 === 1 ? -1 : 1
    const a =
      (world.g * (Math.sin(world.slope) - travel * crr * Math.cos(world.slope))) / world.k +
      scene.between_m_s2 * random.normal()
    const v0 =
      travel > 0 ? random.between(0.2, 0.24) + (scene.way === 'coast-down' ? 0.1 : 0) : -random.between(0.62, 0.66)
    const s0 = travel > 0 ? random.between(0.01, 0.02) : random.between(0.62, 0.63)
    truth.push({ a, v0, s0, travel })
    addSimulatedRun(
      record,
      {
        laneId: 'A',
        mountingId: 'on-A',
        finishId: 'cut',
        ballId: 'ball-A',
        direction: travel > 0 ? 'down' : 'up',
        s: motionOf(scene.unknowns, { a, v0, s0 }, world),
        frames: 288,
        every: 4,
        sigma_px: record.settings.click_px,
        noise: markNoiseOf(random, scene.rho),
      },
      deviations,
    )
  }
  const [result] = laneResults(record)
  const series = result?.series[result.main ?? 0]
  if (!result?.crr || !series?.entry || !series.exit) return undefined
  const book = sourceBookOf(record)
  const down = truth.filter(({ travel }) => travel === series.travel)
  const meanAt = (at_m: number) =>
    down.reduce((sum, { a, v0, s0 }) => sum + Math.sqrt(v0 ** 2 + 2 * a * (at_m - s0)), 0) / down.length
  const a =
    series.travel * ((world.g * (Math.sin(world.slope) - series.travel * crr * Math.cos(world.slope))) / world.k)
  const plain = scene.between_m_s2 === 0 && scene.unknowns === nothingUnknown
  return {
    result,
    book,
    truth: { a, c_rr: crr, v_in: meanAt(series.entry.at_m), v_out: meanAt(series.exit.at_m) },
    estimate: { a: series.acceleration, c_rr: result.crr, v_in: series.entry.filmed, v_out: series.exit.filmed },
    ideal: plain ? idealOf(record, book, result, scene.rho) : null,
  }
}

interface World {
  readonly slope: number
  readonly k: number
  readonly g: number
}

function worldOf(record: SlowlaneRecord, deviations: Deviations): World {
  const slope = slopeOf(record, record.mountings['on-A']!, deviations)
  const guide = guideNumbers(record, 'A', 'ball-A', deviations)
  if (slope.kind !== 'slope' || guide.kind !== 'numbers') throw new Error('the simulated lane cannot be rolled on')
  return {
    slope: slope.slope_rad,
    k: guide.inertiaFactor,
    g: valueOf(record.settings.gravity.g_m_s2, record.sources, deviations),
  }
}

/** Position over time, with what is unknown: integrated by small steps (midpoint rule) where it has no closed form. */
function motionOf(
  { bow_rad, yawScale, rate_per_s }: Unknowns,
  { a, v0, s0 }: { readonly a: number; readonly v0: number; readonly s0: number },
  { k, g }: World,
): (t_s: number) => number {
  if (bow_rad === 0 && yawScale === 0 && rate_per_s === 0) return (t) => s0 + v0 * t + 0.5 * a * t * t
  const half = 0.33
  const accelerationAt = (s: number, v: number) =>
    a + ((g * bow_rad) / k) * (0.5 - s / (2 * half)) - rate_per_s * (v - v0)
  const h = 0.001
  const path = [s0]
  let [s, v] = [s0, v0]
  for (let i = 0; i < 1500; i++) {
    const middle = accelerationAt(s + (v * h) / 2, v + (accelerationAt(s, v) * h) / 2)
    s += v * h + (middle * h * h) / 2
    v += middle * h
    path.push(s)
  }
  return (t) => {
    const i = Math.min(Math.floor(t / h), path.length - 2)
    const place = path[i]! + (t / h - i) * (path[i + 1]! - path[i]!)
    // Seen through a scale that grows along the lane.
    return place + (yawScale * (place * place)) / (4 * half)
  }
}

/** The same estimators with the marks' noise known exactly, and a constant acceleration known to hold. */
function idealOf(record: SlowlaneRecord, book: SourceBook, result: LaneResult, rho: number): Trial['ideal'] {
  const noise = { scale2: 1, dof: Infinity, rho, residualRatio: 1 }
  const [finish] = planLane(record, 'A').finishes
  const main = finish!.series[result.main!]!
  const series = main.plan.runs.map((run) => run.series)
  const plain = fitSeries(series, noise, false)!
  const spec = { kind: 'constant-acceleration', ownAcceleration: false, knots_m: [], drag_per_m: 0 } as const
  const motion = fitMotion(spec, series, main.plan.travel)!
  const scatter = new MarkScatter(motion, noise)
  const shown = result.series[result.main!]!
  const known = (estimate: Estimate, u: number) =>
    estimateOf(book, estimate.unit, estimate.value, estimate.effects, { u, dof: Infinity }).U
  const speed = (at_m: number) =>
    scatter.ofMean(series.map((_, i) => speedWithDerivatives(motion, i, at_m)!.derivatives))
  const perAcceleration = 1.8 / 9.80665
  let randomOfCrr = plain.random.u * perAcceleration
  if (result.ways[0]!.kind === 'two-way') {
    const other = finish!.series.find((one) => one !== main)!
    const up = fitSeries(
      other.plan.runs.map((run) => run.series),
      noise,
      false,
    )!
    randomOfCrr = (perAcceleration / 2) * Math.hypot(plain.random.u, up.random.u)
  }
  return {
    a: known(shown.acceleration, plain.random.u),
    c_rr: known(result.crr!, randomOfCrr),
    v_in: known(shown.entry!.filmed, speed(shown.entry!.at_m)),
    v_out: known(shown.exit!.filmed, speed(shown.exit!.at_m)),
  }
}
