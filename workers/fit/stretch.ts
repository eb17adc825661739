import type { SeriesPlan } from './evaluate.ts'
import { emptyRow, stateAt } from './motion-basis.ts'
import { timeAt } from './motion-fit.ts'
import type { Stretch } from './results.ts'

/** Where a ball has hardly left its rest the noise of a place blurs its speed; it is read where that is less than this share. */
const greatestBlur = 0.05

interface Span {
  readonly runId: string
  readonly low: number
  readonly high: number
}

/**
 * The part of the lane that all its runs cover, in every finish, cut to the lane line: entry and exit are read at its ends, so that finishes compare
 * at the same places. Undefined when runs do not overlap.
 */
export function commonStretch(series: readonly SeriesPlan[], laneLength_m: number): Stretch | undefined {
  const spans = series.flatMap((plan) => plan.runs.map((_, i) => spanOf(plan, i)))
  const whole = overlap(spans, laneLength_m)
  if (!(whole.to_m > whole.from_m)) return undefined
  // A run limits the stretch when it alone cuts a twentieth of the lane off what the others cover.
  const limitedBy = spans
    .filter((_, i) => {
      if (spans.length === 1) return false
      const others = overlap(
        spans.filter((_, j) => j !== i),
        laneLength_m,
      )
      return others.to_m - others.from_m - (whole.to_m - whole.from_m) > 0.05 * laneLength_m
    })
    .map(({ runId }) => runId)
  const shareOfLane = Number.isFinite(laneLength_m) ? (whole.to_m - whole.from_m) / laneLength_m : 1
  return { ...whole, limitedBy, shareOfLane }
}

function overlap(spans: readonly Span[], laneLength_m: number): { from_m: number; to_m: number } {
  return {
    from_m: spans.reduce((m, { low }) => Math.max(m, low), 0),
    to_m: spans.reduce((m, { high }) => Math.min(m, high), laneLength_m),
  }
}

/** Places between which a run's speed is well defined. */
function spanOf(plan: SeriesPlan, i: number): Span {
  const { runId, series } = plan.runs[i]!
  const { s_m, sigma_m } = series
  const [first, last] = [s_m[0]!, s_m[s_m.length - 1]!]
  const cut = 0.2 * Math.abs(last - first)
  const start = first + plan.travel * Math.min(shortOfClear(plan, i, first, sigma_m[0]!), cut)
  const end = last - plan.travel * Math.min(shortOfClear(plan, i, last, sigma_m[s_m.length - 1]!), cut)
  return { runId, low: Math.min(start, end), high: Math.max(start, end) }
}

/** How far from a place [m] the speed becomes clear of its noise: δv/v = a·δs/v², and v² grows by 2a per metre. */
function shortOfClear(plan: SeriesPlan, i: number, at_m: number, noise_m: number): number {
  const fit = plan.model.fit
  const tau = timeAt(fit, i, at_m)
  const context = fit.contexts[i]!
  const state =
    tau === undefined ? undefined : stateAt(fit.spec, context, fit.own[i]!, fit.shared, tau, emptyRow(fit.spec))
  const acceleration = Math.abs(state ? state.a_m_s2 : plan.fit.runs[i]!.curvature_m_s2)
  if (acceleration === 0) return 0
  const needed = (acceleration * noise_m) / greatestBlur
  const square = state ? state.v_m_s ** 2 : 0
  return Math.max(0, needed - square) / (2 * acceleration)
}
