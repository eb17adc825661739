import * as maths from '../../elementary/maths.ts'
import { linearised } from '../../decide/linearised.ts'
import type { SourceBook } from '../../fit/estimates.ts'
import { ballBody, guideShape } from '../../fit/guide-numbers.ts'
import type { LaneResult, SeriesResult } from '../../fit/results.ts'
import { problemSentence } from '../../fit/sentences.ts'
import { laneGeometry } from '../../measure/lane-geometry.ts'
import { slopeOf, type SlopeFound } from '../../measure/slope.ts'
import { massFromDensity_kg } from '../../physics/ball.ts'
import { rollingGeometry, type RollingGeometry } from '../../physics/rolling-geometry.ts'
import type { BallBody, GuideShape } from '../../physics/shapes.ts'
import {
  noDeviations,
  valueOf,
  type Ball,
  type Deviations,
  type Estimate,
  type SlowlaneRecord,
  type Stated,
} from '../../record/index.ts'
import { ballName, guideName } from './names.ts'
import { stepped } from './stepped.ts'

/** How surely the resistance lies above zero. */
export type Standing = 'clear' | 'not-clear-of-zero' | 'below-zero' | 'impossible' | 'unknown'

/** The resistance as a simulator takes it: a = [g(sin θ − c·cos θ)]/k − rate·v − β·v². */
export interface ResistanceLaw {
  /** Dry part c, never negative. */
  readonly dry: Estimate
  /** Part that grows with speed [1/s]; null where the marks show none. */
  readonly rate: Estimate | null
  /** Known drag of air β [1/m]; 0 where it was not asked for. */
  readonly drag_per_m: number
}

/** What a lane's result and its record give a simulator. Every number may be missing; what is there holds. */
export interface LaneFriction {
  readonly laneId: string
  readonly finishId: string
  /** “lane A, sanded”. */
  readonly name: string
  readonly guide: string
  readonly ball: string
  readonly series: SeriesResult | null
  /** Sense along the lane line; 1 where nothing rolls. */
  readonly travel: 1 | -1
  readonly shape: GuideShape
  readonly body: BallBody | null
  /** How the ball rides, or why not; null without ball. */
  readonly riding: RollingGeometry | null
  readonly radius: Estimate | null
  readonly rollingRadius: Estimate | null
  readonly k: Estimate | null
  readonly mass: Estimate | null
  /** Along the travel, positive downhill: of the mounting, or from both directions. */
  readonly slope: Estimate | null
  /** Stretch by stretch along the lane line, where the slope changes. */
  readonly slopes: SlopeFound | null
  readonly gravity: Estimate
  /** As measured; may be negative. */
  readonly crr: Estimate | null
  /** `crr` with what is below zero cut off; null where it cannot be handed over at all. */
  readonly usable: Estimate | null
  readonly standing: Standing
  readonly law: ResistanceLaw | null
  readonly speeds_m_s: readonly [number, number] | null
  /** From the start of the lane line to its end [m]; the stretch's end where neither line nor tape gives it; null without either. */
  readonly length_m: number | null
  /** Why there is no result, in sentences. */
  readonly problems: readonly string[]
}

/** Gathers what can be handed over of a lane and finish. C_rr is that of the best way, with the slope that belongs to it. */
export function laneFriction(record: SlowlaneRecord, book: SourceBook, result: LaneResult): LaneFriction {
  const lane = record.lanes[result.laneId]
  if (!lane) throw new Error(`lane ${result.laneId} is named but not held`)
  const series = result.main === null ? null : (result.series[result.main] ?? null)
  const travel = series?.travel ?? 1
  const ball = record.balls[series?.ballId ?? ballOfRuns(record, result) ?? '']
  const reading = (deviations: Deviations) => (stated: Stated) => valueOf(stated, record.sources, deviations)
  const ids = namedSources([ball ?? null, lane.guide])
  const of = (unit: string, quantity: (body: BallBody, deviations: Deviations) => number | null): Estimate | null =>
    ball ? stepped(book, ids, unit, (deviations) => quantity(ballBody(ball, reading(deviations)), deviations)) : null
  const ride = (body: BallBody, deviations: Deviations) =>
    rollingGeometry(guideShape(lane.guide, reading(deviations)), body)
  const body = ball ? ballBody(ball, reading(noDeviations)) : null
  const shape = guideShape(lane.guide, reading(noDeviations))
  const { gravity } = record.settings
  const g = stepped(book, gravity.g_m_s2.sources, 'm/s2', (deviations) => reading(deviations)(gravity.g_m_s2))
  if (!g) throw new Error('gravity has no value')

  const way = result.ways[0]
  const crr = result.crr ?? series?.crr ?? null
  const alongLine = way?.slope ?? series?.slope ?? null
  const mounting = series && record.mountings[series.mountingId]
  const slopes = mounting && !way?.slope ? slopeOf(record, mounting, noDeviations) : null
  const k = series?.inertiaFactor ?? of('1', (b, d) => riding(ride(b, d))?.k ?? null)
  const slope = alongLine && turned(alongLine, travel)
  const standing = standingOf(crr)
  const usable = crr && standing !== 'impossible' ? notBelowZero(crr) : null
  return {
    laneId: result.laneId,
    finishId: result.finishId,
    name: `lane ${lane.key}, ${record.finishes[result.finishId]?.name ?? result.finishId}`,
    guide: guideName(shape),
    ball: ball ? ballName(ball) : 'no ball',
    series,
    travel,
    shape,
    body,
    riding: body && rollingGeometry(shape, body),
    radius: of('m', (b) => b.radius_m),
    rollingRadius: series?.rollingRadius ?? of('m', (b, d) => riding(ride(b, d))?.rollingRadius_m ?? null),
    k,
    mass: ball ? of('kg', (b, deviations) => massOf(ball, b, reading(deviations))) : null,
    slope,
    slopes: slopes?.kind === 'slope' && slopes.along ? slopes : null,
    gravity: g,
    crr,
    usable,
    standing,
    law: usable && lawOf(book, series, usable, g, k, slope),
    speeds_m_s: series?.speedRange_m_s ?? null,
    length_m: lengthOf(record, result),
    problems: result.problems.map((problem) => problemSentence(record, problem)),
  }
}

function riding(geometry: RollingGeometry) {
  return geometry.kind === 'rides' ? geometry : null
}

/** Mass from the scales, or from density and volume; null where neither is stated. */
function massOf(ball: Ball, body: BallBody, read: (stated: Stated) => number): number | null {
  if (ball.mass_kg) return read(ball.mass_kg)
  return ball.density_kg_m3 ? massFromDensity_kg(body, read(ball.density_kg_m3)) : null
}

function ballOfRuns(record: SlowlaneRecord, { laneId, finishId }: LaneResult): string | undefined {
  return Object.values(record.runs).find((run) => run.laneId === laneId && run.finishId === finishId)?.ballId
}

/** Ids of all sources that stated values name within a part of the record. */
function namedSources(part: unknown): string[] {
  if (typeof part !== 'object' || part === null) return []
  return Object.entries(part).flatMap(([key, value]) =>
    key === 'sources' && Array.isArray(value)
      ? value.filter((id): id is string => typeof id === 'string')
      : namedSources(value),
  )
}

function standingOf(crr: Estimate | null): Standing {
  if (!crr) return 'unknown'
  const [low, high] = crr.interval
  if (low > 0) return 'clear'
  if (crr.value > 0) return 'not-clear-of-zero'
  return high > 0 ? 'below-zero' : 'impossible'
}

function notBelowZero(crr: Estimate): Estimate {
  const [low, high] = crr.interval
  return { ...crr, value: Math.max(0, crr.value), interval: [Math.max(0, low), Math.max(0, high)] }
}

/** A slope seen along the travel instead of along the lane line. */
function turned(slope: Estimate, travel: 1 | -1): Estimate {
  if (travel === 1) return slope
  return {
    ...slope,
    value: -slope.value,
    interval: [-slope.interval[1], -slope.interval[0]],
    effects: new Map([...slope.effects].map(([id, effect]) => [id, -effect])),
  }
}

/**
 * Dry and speed-proportional part where the marks show both, the equivalent C_rr otherwise. What the speed adds to C_rr over the runs is taken from the
 * series; where C_rr comes from another way, the dry part is that much below it. A dry part below zero would push a resting ball: the equivalent is kept.
 */
function lawOf(
  book: SourceBook,
  series: SeriesResult | null,
  usable: Estimate,
  g: Estimate,
  k: Estimate | null,
  slope: Estimate | null,
): ResistanceLaw {
  const constant: ResistanceLaw = { dry: usable, rate: null, drag_per_m: 0 }
  const model = series?.model
  if (!series || !model) return constant
  if (model.withoutAir && series.crr) {
    const excess = series.crr.value - model.withoutAir.crr.value
    const dry = { ...model.withoutAir.crr, value: usable.value - excess }
    return dry.value >= 0 ? { dry, rate: null, drag_per_m: model.withoutAir.drag_per_m } : constant
  }
  const part = model.speedPart
  if (!part || !k || !slope || !(part.rate.value > 0)) return constant
  if (part.crrAtRest && series.crr) {
    const value = usable.value - (series.crr.value - part.crrAtRest.value)
    return value >= 0 ? { dry: { ...part.crrAtRest, value }, rate: part.rate, drag_per_m: 0 } : constant
  }
  const perRate = (k.value * referenceSpeed_m_s(series)) / (g.value * maths.cos(slope.value))
  const value = usable.value - perRate * part.rate.value
  if (value < 0) return constant
  const dry = linearised(book, '1', value, [
    { weight: 1, estimate: usable },
    { weight: -perRate, estimate: part.rate },
  ])
  return { dry, rate: part.rate, drag_per_m: 0 }
}

/** Speed averaged over the way [m/s], (2/3)(v₁³ − v₀³)/(v₁² − v₀²): a force proportional to speed takes as much energy there as it takes along the way. */
export function referenceSpeed_m_s(series: SeriesResult): number {
  const [low, high] =
    series.entry && series.exit
      ? [series.entry.filmed.value, series.exit.filmed.value].map(Math.abs)
      : series.speedRange_m_s
  const [v0, v1] = [low ?? 0, high ?? 0]
  // (v₁³ − v₀³)/(v₁² − v₀²) without the difference.
  return v0 + v1 > 0 ? ((2 / 3) * (v0 * v0 + v0 * v1 + v1 * v1)) / (v0 + v1) : 0
}

function lengthOf(record: SlowlaneRecord, { laneId, stretch }: LaneResult): number | null {
  for (const view of Object.values(record.views)) {
    if (!view.lines[laneId]) continue
    const geometry = laneGeometry(record, view.id, laneId, noDeviations)
    if (geometry.kind === 'lane' && Number.isFinite(geometry.length_m)) return geometry.length_m
  }
  return record.lanes[laneId]?.length_m?.value ?? stretch?.to_m ?? null
}
