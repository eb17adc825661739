import type { SourceBook } from '../../fit/estimates.ts'
import type { LaneResult } from '../../fit/results.ts'
import type { SlowlaneRecord } from '../../record/index.ts'
import { box2d, bullet, ode, sdformat, urdf } from './description-forms.ts'
import { cannon, rapier } from './engine-code-forms.ts'
import { formFrom, readyFrom, type FormOptions } from './form-draft.ts'
import type { FrictionForm } from './forms.ts'
import { centreDrag, coefficient, couple, damping, leverArmForm } from './generic-forms.ts'
import { laneFriction, type LaneFriction } from './lane-friction.ts'
import { mjcfDamping, mjcfFlat, mjcfFriction, mjcfFrictionloss, mjcfLaneForm } from './mjcf-forms.ts'
import { accelerationForm, rollingBodyForm } from './plain-forms.ts'

const drafts = [
  coefficient,
  centreDrag,
  couple,
  leverArmForm,
  damping,
  mjcfLaneForm,
  mjcfFlat,
  mjcfFriction,
  mjcfFrictionloss,
  mjcfDamping,
  sdformat,
  urdf,
  bullet,
  ode,
  rapier,
  cannon,
  box2d,
] as const

/** What of a lane can be handed to simulators, and why the rest cannot. */
export interface SimulatorHandover {
  readonly friction: LaneFriction
  readonly forms: readonly FrictionForm[]
}

/** Every form of a lane's friction, in the order in which a person looks for them; what cannot be handed over is there with the reason. */
export function simulatorForms(
  record: SlowlaneRecord,
  book: SourceBook,
  result: LaneResult,
  options: Partial<FormOptions> = {},
): SimulatorHandover {
  const friction = laneFriction(record, book, result)
  const ready = readyFrom(friction, book, { heading_rad: 0, ...options })
  return {
    friction,
    forms: [
      ...drafts.map((draft) => formFrom(draft, friction, ready)),
      rollingBodyForm(friction),
      accelerationForm(friction),
    ],
  }
}
