import { type Deviations, type SlowlaneRecord, noDeviations, standardUncertainty } from '../record/index.ts'
import { allSources } from './implicit-sources.ts'
import { pieceSourceId, type TimeProblem, timeRuleOf } from './time-of.ts'
import { timeSources } from './run-sources.ts'

export interface RateReport {
  readonly kind: 'rate-report'
  readonly secondsPerFrame: number
  readonly u_s: number
  /** What one standard uncertainty does to a speed and to an acceleration, in percent. */
  readonly speedEffect_percent: number
  readonly accelerationEffect_percent: number
  /** A piece of the clip with its own rate, each. */
  readonly pieces: readonly { readonly fromFrame: number; readonly secondsPerFrame: number; readonly u_s: number }[]
}

/** Real seconds per frame of a clip with the sources moved; away from pieces. */
export function secondsPerFrame(
  record: SlowlaneRecord,
  clipId: string,
  deviations: Deviations = noDeviations,
): { readonly kind: 'seconds'; readonly value: number } | TimeProblem {
  const clip = record.clips[clipId]
  if (!clip) throw new Error(`the record holds no clip ${clipId}`)
  const rule = timeRuleOf(record, clip, deviations)
  return rule.kind === 'time-rule' ? { kind: 'seconds', value: rule.secondsPerFrame } : rule
}

/** Seconds per frame with its standard uncertainty, and what that does to v (in proportion) and a (twice). */
export function rateReport(record: SlowlaneRecord, clipId: string): RateReport | TimeProblem {
  const base = secondsPerFrame(record, clipId)
  if (base.kind !== 'seconds') return base
  const clip = record.clips[clipId]!
  const view = record.views[clip.viewId]!
  const sources = allSources(record)
  let variance = 0
  for (const id of new Set(timeSources(record, view))) {
    const source = sources[id]
    if (!source) continue
    const u = standardUncertainty(source.distribution)
    if (u === 0) continue
    const up = secondsPerFrame(record, clipId, new Map([[id, u]]))
    const down = secondsPerFrame(record, clipId, new Map([[id, -u]]))
    if (up.kind === 'seconds' && down.kind === 'seconds') variance += ((up.value - down.value) / 2) ** 2
  }
  const u_s = Math.sqrt(variance)
  const percent = (100 * u_s) / base.value
  const pieces = (clip.pieces ?? []).map((piece, i) => {
    const source = sources[pieceSourceId(clipId, i)]
    const relative = source ? standardUncertainty(source.distribution) : 0
    return { fromFrame: piece.fromFrame, secondsPerFrame: 1 / piece.rate_hz, u_s: relative / piece.rate_hz }
  })
  return {
    kind: 'rate-report',
    secondsPerFrame: base.value,
    u_s,
    speedEffect_percent: percent,
    accelerationEffect_percent: 2 * percent,
    pieces,
  }
}
