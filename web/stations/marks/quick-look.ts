import { samplesOf, type Samples } from '../../../workers/measure/samples.ts'
import { sentenceFor } from '../../../workers/measure/sentences.ts'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import { trendOf, type Trend } from './trend.ts'

/** A run at a glance while it is being marked: where the ball was when, and the parabola through it. Results come from the fit, not from here. */
export type QuickLook =
  | {
      readonly kind: 'look'
      readonly samples: Samples
      readonly trend: Trend | null
      readonly residuals_m: readonly number[]
    }
  | { readonly kind: 'no-look'; readonly sentence: string }

export function quickLook(record: SlowlaneRecord, runId: string): QuickLook {
  const samples = samplesOf(record, runId)
  if (samples.kind !== 'samples') return { kind: 'no-look', sentence: sentenceFor(samples) }
  const points = Array.from(samples.t_s, (t, i) => [t, samples.s_m[i]!] as const)
  const found = trendOf(points, points.length >= 4 ? 2 : 1)
  const trend = found.kind === 'trend' ? found : null
  return {
    kind: 'look',
    samples,
    trend,
    residuals_m: trend ? points.map(([t, s]) => s - trend.at(t)) : [],
  }
}

/** Root mean square of the misfits, with the parabola's three numbers taken off the count; null before the fourth mark. */
export function scatter_m(look: Extract<QuickLook, { kind: 'look' }>): number | null {
  const free = look.residuals_m.length - 1 - (look.trend?.order ?? 0)
  if (!look.trend || look.trend.order < 2 || free < 1) return null
  return Math.sqrt(look.residuals_m.reduce((sum, r) => sum + r * r, 0) / free)
}
