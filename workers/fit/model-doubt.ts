import { combinedRandom } from './estimates.ts'
import { readings, type SeriesNumbers } from './evaluate.ts'
import type { ModelResult } from './results.ts'
import { meanOf, type RandomPart, type SeriesEvaluation } from './quantity.ts'

type Read = Pick<SeriesNumbers, 'entry_m_s' | 'exit_m_s' | 'transit_s' | 'curve_m_s'>

/** What a reading differs by where it is read from the model that the marks speak for; 0 where they speak for none but the one taken. */
export class ModelDoubt {
  private readonly other: Read | null

  constructor(private readonly evaluation: Pick<SeriesEvaluation, 'plan' | 'places' | 'base'>) {
    const { plan, places } = evaluation
    this.other = plan.model.rival && readings(plan.model.rival, places)
  }

  /** A random part with the doubt of the model: the truth may lie anywhere between both readings or as far beyond, so that it is rectangular. */
  widened(random: RandomPart, quantity: (read: Read) => number | null): RandomPart {
    const [here, there] = [quantity(this.evaluation.base), this.other && quantity(this.other)]
    if (here === null || there === null || here === there) return random
    const u = Math.abs(there - here) / Math.sqrt(3)
    return combinedRandom([
      { weight: 1, random },
      { weight: 1, random: { u, dof: Infinity } },
    ])
  }

  /** The model that the marks speak for, with the speeds it reads; null where it was taken. */
  spokenFor(): ModelResult['spokenFor'] {
    const { rival } = this.evaluation.plan.model
    if (!rival || !this.other) return null
    return { kind: rival.spec.kind, entry_m_s: meanOf(this.other.entry_m_s), exit_m_s: meanOf(this.other.exit_m_s) }
  }
}
