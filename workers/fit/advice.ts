import * as maths from '../elementary/maths.ts'
import { estimateOf, type SourceBook } from './estimates.ts'
import type { SeriesNumbers } from './evaluate.ts'
import { effectsOf, resistancePerAcceleration, type SeriesEvaluation } from './quantity.ts'
import { resistanceOneWay, resistanceTwoWay } from './resistance.ts'
import type { Advice, Way } from './results.ts'
import type { Moved } from './speed-curve.ts'

/** Runs that are proposed at once: enough to see whether they scatter. */
const proposed = 3

/** Of a ball on wood where nothing is known yet (common practice, no source); what U is to be expected hardly depends on it. */
const guessedResistance = 0.005

/** What further runs would bring to C_rr, the smallest U to be expected first. */
export function adviceFor(book: SourceBook, evaluations: readonly SeriesEvaluation[], ways: readonly Way[]): Advice[] {
  const best = ways[0]
  const advice: Advice[] = []
  for (const evaluation of evaluations) {
    const { plan } = evaluation
    const known = ways.some((way) => way.kind === 'two-way' && way.mountingIds.includes(plan.mountingId))
    if (known) continue
    const U = expectedTwoWay(book, evaluation)
    if (U !== null && (!best || U < best.crr.U))
      advice.push({ kind: 'two-way', runs: proposed, U, now: best?.crr.U ?? Infinity })
  }
  if (best) {
    const runs = best.runs
    const random = { u: best.crr.random.u * Math.sqrt(runs / (runs + proposed)), dof: best.crr.random.dof + proposed }
    const { U } = estimateOf(book, '1', best.crr.value, best.crr.effects, random)
    advice.push({ kind: 'more-runs', runs: proposed, U, now: best.crr.U })
  }
  return advice.sort((a, b) => a.U - b.U)
}

/** U of the two-way result to be expected of as many runs the other way, whose acceleration follows from the resistance and slope of this one. */
function expectedTwoWay(book: SourceBook, { plan, base, moved }: SeriesEvaluation): number | null {
  const { travel, fit } = plan
  const perAcceleration = resistancePerAcceleration(base)
  if (perAcceleration === null || base.acceleration_m_s2 === 0) return null
  // Going the other way, gravity stays and the resistance turns round: the accelerations differ by twice its part.
  const crr = resistanceOneWay(base, travel) ?? guessedResistance
  const other = base.acceleration_m_s2 + (2 * travel * crr) / perAcceleration
  const both = (n: SeriesNumbers) => {
    // What stretches this acceleration stretches the other one alike.
    const stretched = { ...n, acceleration_m_s2: (other * n.acceleration_m_s2) / base.acceleration_m_s2 }
    return (travel > 0 ? resistanceTwoWay(n, stretched) : resistanceTwoWay(stretched, n))?.crr ?? null
  }
  const value = both(base)
  if (value === null) return null
  const shared = new Map<string, Moved<SeriesNumbers>>(moved)
  const single = fit.variances.reduce((sum, v) => sum + v, 0) / fit.variances.length + (fit.between_m_s2 ?? 0) ** 2
  const u = (perAcceleration / 2) * maths.hypot(fit.random.u, Math.sqrt(single / proposed))
  return estimateOf(book, '1', value, effectsOf(shared, value, both), { u, dof: fit.random.dof }).U
}
