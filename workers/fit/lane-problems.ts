import { noDeviations, type SlowlaneRecord } from '../record/index.ts'
import { slopeOf } from '../measure/slope.ts'
import { guideNumbers } from './guide-numbers.ts'
import type { LaneProblem } from './problems.ts'
import type { Way } from './results.ts'
import type { SeriesEvaluation } from './quantity.ts'

/** What keeps fitted series from a resistance: a slope nobody knows, a guide that cannot carry the ball. */
export function laneProblems(
  record: SlowlaneRecord,
  evaluations: readonly SeriesEvaluation[],
  ways: readonly Way[],
): LaneProblem[] {
  const problems: LaneProblem[] = []
  const balls = new Set<string>()
  const mountings = new Set<string>()
  for (const { plan } of evaluations) {
    if (!balls.has(plan.ballId)) {
      balls.add(plan.ballId)
      const guide = guideNumbers(record, plan.laneId, plan.ballId, noDeviations)
      if (guide.kind !== 'numbers') problems.push({ kind: 'guide-impossible', ballId: plan.ballId, cause: guide })
    }
    if (mountings.has(plan.mountingId)) continue
    mountings.add(plan.mountingId)
    const slope = slopeOf(record, record.mountings[plan.mountingId]!, noDeviations)
    if (slope.kind === 'slope') continue
    if (slope.kind !== 'slope-unknown')
      problems.push({ kind: 'slope-not-found', mountingId: plan.mountingId, cause: slope })
    else if (!ways.some((way) => way.kind === 'two-way' && way.mountingIds.includes(plan.mountingId)))
      problems.push({
        kind: 'slope-unknown',
        mountingId: plan.mountingId,
        direction: plan.level ? 'level' : plan.travel > 0 ? 'down' : 'up',
      })
  }
  return problems
}
