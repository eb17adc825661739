import type { Stretch } from './results.ts'
import type { Motion } from './speed-curve.ts'
import type { UsableRun } from './usable-run.ts'

/** At the place where a ball lay before its start the speed is not defined; it is read where the noise of a place blurs it by less than this share. */
const greatestBlur = 0.05

/**
 * The part of the lane that all its runs cover, in every finish, cut to the lane line: entry and exit are read at its ends, so that finishes compare
 * at the same places. Undefined when runs do not overlap.
 */
export function commonStretch(
  runs: readonly { readonly run: UsableRun; readonly motion: Motion }[],
  laneLength_m: number,
): Stretch | undefined {
  const spans = runs.map(({ run, motion }) => ({ runId: run.runId, ...span(run, motion) }))
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
  return { ...whole, limitedBy, shareOfLane: laneLength_m > 0 ? (whole.to_m - whole.from_m) / laneLength_m : 1 }
}

function overlap(spans: readonly { low: number; high: number }[], laneLength_m: number) {
  return {
    from_m: spans.reduce((m, { low }) => Math.max(m, low), 0),
    to_m: spans.reduce((m, { high }) => Math.min(m, high), laneLength_m),
  }
}

/** Places between which a run's speed is well defined. */
function span({ series: { s_m, sigma_m } }: UsableRun, motion: Motion): { low: number; high: number } {
  const [first, last] = [s_m[0]!, s_m[s_m.length - 1]!]
  const low = Math.min(first, last)
  const high = Math.max(first, last)
  if (motion.a_m_s2 === 0) return { low, high }
  // Near rest v² = 2a·distance, so that δv/v = δs/(2·distance).
  const rest = motion.s_m - motion.v_m_s ** 2 / (2 * motion.a_m_s2)
  const margin = Math.min(sigma_m[0]! / (2 * greatestBlur), 0.2 * (high - low))
  return rest < (low + high) / 2
    ? { low: Math.max(low, rest + margin), high }
    : { low, high: Math.min(high, rest - margin) }
}
