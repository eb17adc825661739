import type { Estimate } from '../record/index.ts'
import type { SourceBook } from './estimates.ts'
import type { SeriesNumbers } from './evaluate.ts'
import type { ModelDoubt } from './model-doubt.ts'
import type { MarkScatter } from './motion-reading.ts'
import type { ModelResult } from './results.ts'
import { meanOf, quantityOf, resistancePerAcceleration, type SeriesEvaluation } from './quantity.ts'
import { resistanceOneWay } from './resistance.ts'

/** What the chosen model says beyond the motion itself. */
export function modelResult(
  book: SourceBook,
  evaluation: SeriesEvaluation,
  scatter: MarkScatter,
  doubt: ModelDoubt,
): ModelResult {
  const { plan } = evaluation
  const { spec } = plan.model.fit
  return {
    kind: spec.kind,
    candidates: plan.model.candidates,
    speedPart: spec.kind === 'dry-and-viscous' ? speedPart(book, evaluation, scatter) : null,
    spokenFor: doubt.spokenFor(),
    withoutAir: spec.kind === 'known-drag' ? withoutAir(book, evaluation, scatter) : null,
  }
}

/** Level of acceleration in the model, along the lane line. */
function push(n: SeriesNumbers): number {
  return n.ownLevel_m_s2 ?? n.shared[0]!
}

function rate(n: SeriesNumbers): number {
  return n.shared[n.shared.length - 1]!
}

/** Derivatives of α·(level of acceleration) + β·(rate) by the model's parameters. */
function gradient({ plan: { model } }: SeriesEvaluation, alpha: number, beta: number) {
  const { fit } = model
  const shared = new Float64Array(fit.shared.length)
  if (beta !== 0) shared[shared.length - 1] = beta
  if (!fit.spec.ownAcceleration) shared[0]! += alpha
  const own = fit.own.map(() => (fit.spec.ownAcceleration ? Float64Array.of(0, 0, alpha / fit.own.length) : null))
  return { own, shared }
}

function speedPart(book: SourceBook, evaluation: SeriesEvaluation, scatter: MarkScatter): ModelResult['speedPart'] {
  const { plan, base } = evaluation
  const { travel } = plan
  const { dof } = scatter.noise
  const perAcceleration = resistancePerAcceleration(base)
  const found = quantityOf(book, evaluation, '1/s', rate, { u: scatter.of(gradient(evaluation, 0, 1)), dof })
  if (!found) return null
  const at = (speed_m_s: (n: SeriesNumbers) => number | null): Estimate | null => {
    const v = speed_m_s(base)
    if (v === null || perAcceleration === null) return null
    // The acceleration along the travel at speed v is push − rate·v.
    const u = perAcceleration * scatter.of(gradient(evaluation, travel, -v))
    return quantityOf(
      book,
      evaluation,
      '1',
      (n) => {
        const speed = speed_m_s(n)
        return speed === null
          ? null
          : resistanceOneWay({ ...n, acceleration_m_s2: push(n) - travel * rate(n) * speed }, travel)
      },
      { u, dof },
    )
  }
  const driving = travel * push(base)
  return {
    rate: found,
    crrAtRest: at(() => 0),
    crrAtEntry: at((n) => meanOf(n.entry_m_s)),
    crrAtExit: at((n) => meanOf(n.exit_m_s)),
    terminal_m_s: driving > 0 && rate(base) > 0 ? driving / rate(base) : null,
  }
}

function withoutAir(book: SourceBook, evaluation: SeriesEvaluation, scatter: MarkScatter): ModelResult['withoutAir'] {
  const { plan, base } = evaluation
  const perAcceleration = resistancePerAcceleration(base)
  if (perAcceleration === null) return null
  const crr = quantityOf(
    book,
    evaluation,
    '1',
    (n) => resistanceOneWay({ ...n, acceleration_m_s2: push(n) }, plan.travel),
    { u: perAcceleration * scatter.of(gradient(evaluation, 1, 0)), dof: scatter.noise.dof },
  )
  return crr && { crr, drag_per_m: plan.model.fit.spec.drag_per_m }
}
