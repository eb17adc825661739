/**
 * What an interval says against the least change that matters, `matters` > 0, in the same unit.
 * `less`, `more`: the whole interval lies beyond the threshold. `slightly-…`: beyond doubt a change, but whether it matters is open.
 * `no-change-that-matters`: the whole interval lies within ± threshold. `cannot-tell`: none of these.
 */
export type Verdict = 'less' | 'slightly-less' | 'no-change-that-matters' | 'cannot-tell' | 'slightly-more' | 'more'

export function verdictOf([low, high]: readonly [number, number], matters: number): Verdict {
  if (low > matters) return 'more'
  if (high < -matters) return 'less'
  if (low > -matters && high < matters) return 'no-change-that-matters'
  if (low > 0) return 'slightly-more'
  if (high < 0) return 'slightly-less'
  return 'cannot-tell'
}
