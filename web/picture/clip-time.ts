import { noDeviations, type Clip, type SlowlaneRecord } from '../../workers/record/index.ts'
import { showPlain } from '../format/value.ts'
import { timeRuleOf, type TimeRule } from '../../workers/measure/time-of.ts'

/** Ticks of a frame: as the file has them while the clip is open, else by the usual interval. */
export const ticksAt = (clip: Clip, ticks: Float64Array | null, frame: number): number =>
  ticks?.[frame] ?? clip.firstTicks + frame * clip.interval.median

/** How a clip's frames become seconds; null while the Time station has no rule. */
export function ruleOf(record: SlowlaneRecord, clip: Clip): TimeRule | null {
  const rule = timeRuleOf(record, clip, noDeviations)
  return rule.kind === 'time-rule' ? rule : null
}

/** Time of a frame with its unit, for rulers: real seconds, or the file's own where no rule is set yet. */
export function timeText(
  clip: Clip,
  rule: TimeRule | null,
  ticks: Float64Array | null,
  frame: number,
  decimals = 4,
): string {
  const at = ticksAt(clip, ticks, frame)
  if (!rule) return `${((at - clip.firstTicks) / clip.timescale).toFixed(2)} s in the file`
  return `${rule.secondsAt(frame, at).toFixed(decimals)} s`
}

/** The same for the ruler's labels, short. */
export function rulerTime(clip: Clip, rule: TimeRule | null, ticks: Float64Array | null, frame: number): string {
  const at = ticksAt(clip, ticks, frame)
  const time_s = rule ? rule.secondsAt(frame, at) : (at - clip.firstTicks) / clip.timescale
  return `${showPlain(Math.round(time_s * 1000) / 1000, 4)} s`
}
