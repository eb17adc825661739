import * as maths from '../elementary/maths.ts'
import type { SourceBook } from '../fit/estimates.ts'
import type { SlowSpot } from '../fit/local-resistance.ts'
import { normalQuantile } from '../fit/numerics/normal.ts'
import type { LaneResult } from '../fit/results.ts'
import type { SlowlaneRecord } from '../record/index.ts'
import { energyLine, type EnergyLine } from './energy-line.ts'
import { exitEnergy, type ExitEnergy } from './exit-energy.ts'
import { handCounts, type HandCounts } from './hand-counts.ts'
import { laneSetting, type LaneSetting, type NoSetting } from './lane-setting.ts'
import { systematicPart } from './linearised.ts'
import { neededAnywhere, neededFromRest, neededPassing, type Need } from './needed-slope.ts'
import { slopeWindow, type SlopeWindow } from './slope-window.ts'
import { toleranceLimit, type Reliability, type ToleranceLimit } from './tolerance.ts'
import {
  cleanPassagesFor,
  countedProof,
  leansToOneSide,
  stallChance,
  type CountedProof,
  type StallChance,
} from './trials.ts'

/** How far a lane is from stalling a ball, and from letting it go too fast. It holds for the lane as filmed. */
export interface LaneMargin {
  readonly kind: 'margin'
  readonly setting: LaneSetting
  readonly reliability: Reliability
  /** C_rr of the runs with its one-sided limits. */
  readonly limit: ToleranceLimit
  /** The place that resists most, where one stands out. */
  readonly spot: SlowSpot | null
  /** Slope on which a moving ball keeps rolling everywhere, however slowly it comes. */
  readonly moving: Need
  /** Slope on which balls as fast as those filmed get through. */
  readonly passing: Need
  /** Slope on which a ball starts by itself; null without three start angles, and the margin is for moving balls only. */
  readonly fromRest: Need | null
  /** The need that leads: the greatest that is known. */
  readonly need: Need
  readonly window: SlopeWindow
  /** Chance that a moving ball stalls somewhere, and that one at rest does not start. Null from fewer than three. */
  readonly movingChance: StallChance | null
  readonly restChance: StallChance | null
  readonly counts: HandCounts
  /** What the counted passages prove; null while none was counted. */
  readonly proof: CountedProof | null
  /** Values lean to one side: the bell curve behind the limits does not fit. */
  readonly leans: { readonly runs: Leaning; readonly starts: Leaning }
  readonly energy: EnergyLine | null
  readonly exit: ExitEnergy | null
}

export type Leaning = ReturnType<typeof leansToOneSide>
export type NoMargin =
  NoSetting | { readonly kind: 'too-few-runs'; readonly have: number; readonly need: 2; readonly setting: LaneSetting }

/** Margin of a lane in a finish. `gentle_m_s`: greatest exit speed that is wanted, else the record's. */
export function laneMargin(
  record: SlowlaneRecord,
  book: SourceBook,
  result: LaneResult,
  gentle_m_s: number | null = record.settings.gentleExit_m_s ?? null,
): LaneMargin | NoMargin {
  const setting = laneSetting(record, book, result)
  if (setting.kind !== 'setting') return setting
  const { reliability } = record.settings
  const limit = toleranceLimit(setting.crrPerRun, reliability)
  if (limit.kind !== 'limit') return { kind: 'too-few-runs', have: limit.have, need: 2, setting }
  const spot = worstSpot(setting)
  const sure = normalQuantile(reliability.confidence)
  const moving = neededAnywhere(setting, limit, spot, sure)
  const passing = neededPassing(setting, limit, spot, reliability, sure)
  const counts = handCounts(record, { ...result, ...setting.series })
  const fromRest = neededFromRest(setting, counts.startTangents, reliability, sure)
  const need = fromRest && fromRest.tangent > moving.tangent ? fromRest : moving
  const tangent = maths.tan(setting.slope_rad)
  // C_rr and slope share the slope's doubt; what is left is the doubt of their difference.
  const movingChance = stallChance(
    setting.crrPerRun.map((crr) => crr + (spot?.excess ?? 0)),
    setting.crr.value + setting.above.value,
    systematicPart(setting.above),
    reliability.confidence,
  )
  const restChance = stallChance(counts.startTangents, tangent, slopeDoubt(setting), reliability.confidence)
  const proof = counts.passages > 0 ? countedProof(counts.passages, counts.stalls, reliability.confidence) : null
  return {
    kind: 'margin',
    setting,
    reliability,
    limit,
    spot,
    moving,
    passing,
    fromRest,
    need,
    window: slopeWindow(setting, need, gentle_m_s, reliability, sure),
    movingChance: movingChance.kind === 'chance' ? movingChance : null,
    restChance: restChance.kind === 'chance' ? restChance : null,
    counts,
    proof: proof?.kind === 'proof' ? proof : null,
    leans: { runs: leansToOneSide(setting.crrPerRun), starts: leansToOneSide(counts.startTangents) },
    energy: energyLine(book, setting, reliability),
    exit: exitEnergy(book, setting),
  }
}

/** A spot that another camera position does not show is no property of the lane. */
function worstSpot(setting: LaneSetting): SlowSpot | null {
  const spots = (setting.series.local?.slowSpots ?? []).filter((spot) => spot.recurs !== 'one-view-only')
  return spots.reduce<SlowSpot | null>((worst, spot) => (!worst || spot.excess > worst.excess ? spot : worst), null)
}

/** Standard uncertainty of the tangent of the slope. */
const slopeDoubt = ({ slope }: LaneSetting): number => slope.u / maths.cos(slope.value) ** 2

/** Passages without a stall that would prove each of these chances, with the stated confidence. */
export function planOfTests(
  confidence: number,
  oneIn: readonly number[] = [20, 50, 100, 200, 500, 1000],
): readonly { readonly oneIn: number; readonly passages: number }[] {
  return oneIn.map((n) => ({ oneIn: n, passages: cleanPassagesFor(n, confidence) }))
}
