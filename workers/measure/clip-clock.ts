import { type Clip, type Deviations, type SlowlaneRecord, type View, assertNever, valueOf } from '../record/index.ts'
import { type BlinkReading, readBlink } from './blink-rate.ts'
import { type FallProblem, fallRate } from './free-fall.ts'
import { sourceId } from './source-ids.ts'

export type ClockProblem =
  | { readonly kind: 'clock-clip-missing'; readonly clipId: string }
  | { readonly kind: 'clock-frames'; readonly first: number; readonly last: number }
  | { readonly kind: 'clock-apart'; readonly apart_s: number }
  | { readonly kind: 'clock-blink'; readonly blink_hz: number }
  | { readonly kind: 'lamp-not-read'; readonly clipId: string }
  | { readonly kind: 'flicker-ambiguous'; readonly rates_hz: readonly number[] }
  | Exclude<BlinkReading, { kind: 'blink' }>
  | FallProblem

export interface MeasuredRate {
  readonly kind: 'rate'
  /** Filming rate with the sources moved. */
  readonly rate_hz: number
  /** Relative standard uncertainty of the reading itself, beside the stated sources; and its degrees of freedom. */
  readonly uRelative: number
  readonly dof: number
}

export const clockSourceId = (viewId: string): string => sourceId('clock', viewId)

/** The filming rate found in a clip of the view, by whichever clock the view names. The view's timebase must be a measured one. */
export function measuredRate(record: SlowlaneRecord, view: View, deviations: Deviations): MeasuredRate | ClockProblem {
  if (view.timebase.kind !== 'measured') throw new Error(`the timebase of view ${view.id} is not a measured one`)
  const clock = view.timebase.clock
  const clip = record.clips[clock.clipId]
  if (!clip) return { kind: 'clock-clip-missing', clipId: clock.clipId }
  const found = read(record, view, clip, clock, deviations)
  if (found.kind !== 'rate') return found
  return { ...found, rate_hz: found.rate_hz * (1 + (deviations.get(clockSourceId(view.id)) ?? 0)) }
}

type Clock = Extract<View['timebase'], { kind: 'measured' }>['clock']

function read(
  record: SlowlaneRecord,
  view: View,
  clip: Clip,
  clock: Clock,
  deviations: Deviations,
): MeasuredRate | ClockProblem {
  switch (clock.kind) {
    case 'two-frames': {
      const between = clock.last - clock.first
      if (!(between > 0)) return { kind: 'clock-frames', first: clock.first, last: clock.last }
      const apart_s = valueOf(clock.apart_s, record.sources, deviations)
      if (!(apart_s > 0)) return { kind: 'clock-apart', apart_s }
      // Each event falls somewhere within its frame: rectangular, 1/√12 of a frame at each end.
      return { kind: 'rate', rate_hz: between / apart_s, uRelative: 1 / Math.sqrt(6) / between, dof: Infinity }
    }
    case 'lamp':
      return lampRate(clip, spacingOf(view), valueOf(clock.blink_hz, record.sources, deviations))
    case 'mains':
      return mainsRate(clip, spacingOf(view), valueOf(clock.flicker_hz, record.sources, deviations))
    case 'free-fall':
      return fallRate(record, view, clip, clock, deviations)
    default:
      return assertNever(clock)
  }
}

type Spacing = Extract<View['timebase'], { kind: 'measured' }>['spacing']

const spacingOf = (view: View): Spacing => (view.timebase.kind === 'measured' ? view.timebase.spacing : 'timestamps')

/**
 * The lamp series of a clip against time in frames: by the timestamps, which tell frames that were left out; by the count of frames where these are
 * spaced evenly, or where the file stretches some of its timestamps (pieces with rates of their own).
 */
function seriesOf(clip: Clip, spacing: Spacing): { time: number[]; luma: readonly number[] } | undefined {
  if (!clip.lamp) return undefined
  const { ticks, luma } = clip.lamp
  if (spacing === 'even' || (clip.pieces?.length ?? 0) > 0) return { time: ticks.map((_, i) => i), luma }
  const perTick = clip.fileRate_hz / clip.timescale
  return { time: ticks.map((tick) => (tick - ticks[0]!) * perTick), luma }
}

/** What the lamp series of a clip says by itself, in cycles per frame; undefined where no lamp was read. */
export function lampReading(clip: Clip, spacing: Spacing = 'timestamps'): BlinkReading | undefined {
  const series = seriesOf(clip, spacing)
  return series && readBlink(series.time, series.luma)
}

function lampRate(clip: Clip, spacing: Spacing, blink_hz: number): MeasuredRate | ClockProblem {
  if (!(blink_hz > 0)) return { kind: 'clock-blink', blink_hz }
  const blink = lampReading(clip, spacing)
  if (!blink) return { kind: 'lamp-not-read', clipId: clip.id }
  if (blink.kind !== 'blink') return blink
  return { kind: 'rate', rate_hz: blink_hz / blink.frequency, uRelative: blink.u / blink.frequency, dof: blink.dof }
}

/** Rates that cameras film at [Hz] (common practice, no source). */
export const usualRates_hz: readonly number[] = [
  24, 25, 30, 48, 50, 60, 90, 100, 120, 150, 180, 200, 240, 250, 300, 400, 480, 500, 600, 800, 960, 1000, 1920, 2000,
]

/** A filming rate this near to an expected one is taken for it [relative]. */
const nearUsual = 0.01

/**
 * Filming rate from flicker of known frequency. A flicker faster than half the filming rate shows folded, at |flicker − m·rate|: among the rates that
 * fit, the one near the file's filming-rate tag or, without a tag, near a rate cameras film at and not slower than the file. More than one such: refused.
 */
function mainsRate(clip: Clip, spacing: Spacing, flicker_hz: number): MeasuredRate | ClockProblem {
  if (!(flicker_hz > 0)) return { kind: 'clock-blink', blink_hz: flicker_hz }
  const blink = lampReading(clip, spacing)
  if (!blink) return { kind: 'lamp-not-read', clipId: clip.id }
  if (blink.kind !== 'blink') return blink
  const candidates: { rate_hz: number; turns: number }[] = []
  const expected = clip.filmingRateTag_hz === null ? usualRates_hz : [clip.filmingRateTag_hz]
  for (let m = 0; m <= 5; m++)
    for (const turns of [m + blink.frequency, m - blink.frequency]) {
      if (!(turns > 0.01)) continue
      const rate_hz = flicker_hz / turns
      if (clip.filmingRateTag_hz === null && rate_hz < 0.98 * clip.fileRate_hz) continue
      const usual = expected.some((rate) => Math.abs(rate_hz / rate - 1) < nearUsual)
      const known = candidates.some((other) => Math.abs(other.rate_hz / rate_hz - 1) < nearUsual)
      if (usual && !known) candidates.push({ rate_hz, turns })
    }
  const best = candidates[0]
  if (!best || candidates.length > 1)
    return { kind: 'flicker-ambiguous', rates_hz: candidates.map((candidate) => candidate.rate_hz) }
  return { kind: 'rate', rate_hz: best.rate_hz, uRelative: blink.u / best.turns, dof: blink.dof }
}
