import {
  estimateOf,
  type LaneResult,
  type RunResult,
  type SeriesResult,
  type SourceBook,
} from '../../workers/fit/index.ts'
import { acceleration_m_s2 } from '../../workers/physics/motion.ts'
import { emptyRecord, type Distribution, type Estimate, type SlowlaneRecord } from '../../workers/record/index.ts'

export interface MadeLane {
  readonly lane?: string
  readonly finish?: string
  readonly mounting?: string
  /** True C_rr of each run. */
  readonly crr: readonly number[]
  readonly slope_rad?: number
  readonly entry_m_s?: number | readonly number[]
  readonly length_m?: number
  /** Error that the stated slope has, and the source it belongs to. */
  readonly slopeError_rad?: number
  readonly slopeSource?: { readonly id: string; readonly distribution: Distribution; readonly u: number }
  /** Seconds from one run to the next, all in one clip. */
  readonly every_s?: number
}

export const gravity = 9.80665
/** 90° groove and a solid ball: k = 1 + 0.4/sin²45°. */
export const grooveK = 1.8

/**
 * Results of a straight lane as a fit of perfect marks would give them: the scatter between runs is all the scatter there is. For tests of what is made of
 * results, where thousands of lanes are needed.
 */
export function madeLane(book: SourceBook, made: MadeLane): LaneResult {
  const { lane = 'A', finish = 'cut', crr, slope_rad = 0.035, length_m = 0.6, slopeError_rad = 0, slopeSource } = made
  const n = crr.length
  const entries = crr.map((_, i) =>
    typeof made.entry_m_s === 'number' ? made.entry_m_s : (made.entry_m_s?.[i] ?? 0.2),
  )
  const accelerations = crr.map((c) => acceleration_m_s2({ slope_rad, k: grooveK, g_m_s2: gravity }, c))
  const exits = accelerations.map((a, i) => Math.sqrt(Math.max(0, entries[i]! ** 2 + 2 * a * length_m)))
  const transits = exits.map((v, i) => (2 * length_m) / (v + entries[i]!))
  const stated = slope_rad + slopeError_rad
  const cos = Math.cos(stated)
  const effects = (perRadian: number) =>
    new Map(slopeSource ? [[slopeSource.id, perRadian * slopeSource.u] as const] : [])
  const exact = (value: number, unit: string) => estimateOf(book, unit, value, new Map(), { u: 0, dof: Infinity })
  const meanOf = (values: readonly number[], unit: string, perRadian = 0): Estimate => {
    const mean = values.reduce((sum, v) => sum + v, 0) / n
    const s = Math.sqrt(values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / Math.max(1, n - 1))
    return estimateOf(book, unit, mean, effects(perRadian), {
      u: n > 1 ? s / Math.sqrt(n) : 0,
      dof: Math.max(1, n - 1),
    })
  }
  const measured = accelerations.map((a) => Math.tan(stated) - (grooveK * a) / (gravity * cos))
  const places = Array.from({ length: 13 }, (_, j) => 0.03 + (length_m * j) / 12)
  const speedAt = (i: number, at: number) =>
    Math.sqrt(Math.max(0, entries[i]! ** 2 + 2 * accelerations[i]! * (at - 0.03)))
  const runs = crr.map((_, i): RunResult => {
    const count = 25
    const t = Array.from({ length: count }, (_, j) => (transits[i]! * j) / (count - 1))
    return {
      runId: `${lane}-${finish}-${i}`,
      marks: count,
      resting: { before: 0, after: 0 },
      entry: exact(entries[i]!, 'm/s'),
      exit: exact(exits[i]!, 'm/s'),
      acceleration: exact(accelerations[i]!, 'm/s2'),
      transit: exact(transits[i]!, 's'),
      residuals: {
        t_s: t.map((x) => x + i * (made.every_s ?? 10)),
        s_m: t.map((x) => 0.03 + entries[i]! * x + (accelerations[i]! * x * x) / 2),
        residual_m: t.map(() => 0),
        sigma_m: t.map(() => 1e-4),
        mark: t.map((_, j) => j),
      },
      outliers: [],
    }
  })
  const speeds = (values: readonly number[]) => ({
    filmed: meanOf(values, 'm/s'),
    typical: n > 1 ? meanOf(values, 'm/s') : null,
    scatter_m_s: null,
  })
  const mean = places.map((at) => crr.reduce((sum, _, i) => sum + speedAt(i, at), 0) / n)
  const resistance = meanOf(measured, '1', 1 / cos ** 2)
  const series: SeriesResult = {
    mountingId: made.mounting ?? `on-${lane}`,
    ballId: 'ball',
    direction: 'down',
    travel: 1,
    runs,
    entry: { at_m: 0.03, ...speeds(entries) },
    exit: { at_m: 0.03 + length_m, ...speeds(exits) },
    acceleration: meanOf(accelerations, 'm/s2'),
    transit: meanOf(transits, 's'),
    slows: null,
    crr: resistance,
    slope: estimateOf(book, 'rad', stated, effects(1), { u: 0, dof: Infinity }),
    rollingRadius: exact(0.008 * Math.SQRT1_2, 'm'),
    inertiaFactor: exact(grooveK, '1'),
    marks: { ratio: 1, correlation: 0 },
    betweenRuns: null,
    model: { kind: 'constant-acceleration', candidates: [], speedPart: null, spokenFor: null, withoutAir: null },
    local: null,
    speeds: {
      at_m: places,
      speed_m_s: mean,
      effects: new Map(),
      random_m_s: places.map(() => 0),
      dof: n,
      motions: crr.map((_, i) => ({ at_m: places, speed_m_s: places.map((at) => speedAt(i, at)) })),
      covered_m: [0.03, 0.03 + length_m],
    },
    speedRange_m_s: [Math.min(...entries), Math.max(...exits)],
  }
  return {
    laneId: lane,
    finishId: finish,
    stretch: { from_m: 0.03, to_m: 0.03 + length_m, limitedBy: [], shareOfLane: 1 },
    series: [series],
    main: 0,
    ways: [],
    crr: resistance,
    checks: [],
    advice: [],
    budget: [],
    problems: [],
    flags: [],
  }
}

/** A record that holds what such results name: lanes in 90° grooves, a 16 mm steel ball, mountings at the given slope. */
export function madeRecord(lanes: readonly string[] = ['A'], slope_rad = 0.035): SlowlaneRecord {
  const record = emptyRecord('made', 'made for a test', '2026-01-01T00:00:00Z')
  const exactly = (value: number) => ({ value, sources: [] })
  record.sources = {}
  record.settings.gravity.g_m_s2 = exactly(gravity)
  record.balls['ball'] = {
    id: 'ball',
    name: 'steel 16 mm',
    diameter_m: exactly(0.016),
    material: 'steel',
    density_kg_m3: exactly(7830),
  }
  record.finishes['cut'] = { id: 'cut', name: 'as cut', order: 0 }
  record.finishes['sanded'] = { id: 'sanded', name: 'sanded', order: 1 }
  for (const lane of lanes) {
    record.lanes[lane] = {
      id: lane,
      key: lane,
      name: `lane ${lane}`,
      guide: { kind: 'v-groove', included_rad: exactly(Math.PI / 2) },
      supports: [
        { id: 'upper', name: 'upper support', at_m: exactly(0.08) },
        { id: 'lower', name: 'lower support', at_m: exactly(0.58) },
      ],
    }
    record.mountings[`on-${lane}`] = {
      id: `on-${lane}`,
      laneId: lane,
      name: 'first mounting',
      slope: { kind: 'angle', angle_rad: exactly(slope_rad) },
    }
  }
  return record
}
