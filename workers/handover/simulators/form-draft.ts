import type { SourceBook } from '../../fit/estimates.ts'
import type { Rides } from '../../physics/rolling-geometry.ts'
import type { BallBody } from '../../physics/shapes.ts'
import type { Estimate } from '../../record/index.ts'
import type { FormField, FormFile, FormId, FormValidity, FrictionForm } from './forms.ts'
import type { LaneFriction, ResistanceLaw } from './lane-friction.ts'
import { holdsFor, narrowing, speedSentence, whyNoFriction } from './sentences.ts'

/** A lane's friction with everything there that a form of it needs. */
export interface Ready {
  readonly f: LaneFriction
  readonly book: SourceBook
  readonly body: BallBody
  readonly riding: Rides
  readonly radius: Estimate
  readonly rollingRadius: Estimate
  readonly k: Estimate
  readonly mass: Estimate | null
  readonly slope: Estimate
  /** What a single number is: the equivalent over the speeds measured. */
  readonly c: Estimate
  readonly law: ResistanceLaw
  readonly options: FormOptions
}

export interface FormOptions {
  /** Direction of the travel in the files, from the world's x towards its y [rad]. */
  readonly heading_rad: number
}

export interface Made {
  readonly fields: readonly FormField[]
  readonly kind: FormValidity['kind']
  readonly why: string
  readonly warning?: string | undefined
  readonly text: string | null
  readonly file?: FormFile
}

/** A form that rests on the measured resistance. */
export interface Draft {
  readonly id: FormId
  readonly title: string
  readonly target: string
  readonly equation: string
  /** Carries the part that grows with speed, so that nothing is lost in it. */
  readonly carriesSpeed: boolean
  readonly make: (ready: Ready) => Made
}

export function readyFrom(f: LaneFriction, book: SourceBook, options: FormOptions): Ready | null {
  const { body, riding, radius, rollingRadius, k, slope, usable, law } = f
  if (!body || riding?.kind !== 'rides' || !radius || !rollingRadius || !k || !slope || !usable || !law) return null
  return { f, book, body, riding, radius, rollingRadius, k, mass: f.mass, slope, c: usable, law, options }
}

/** A draft filled with a lane's numbers, or refused with the sentence that says why. */
export function formFrom(draft: Draft, f: LaneFriction, ready: Ready | null): FrictionForm {
  if (!ready) return refusal(draft, f, whyNoFriction(f))
  const made = draft.make(ready)
  if (made.kind === 'refused') return { ...refusal(draft, f, made.why), ...warningOf(made) }
  const more = [...narrowing(f), ...(draft.carriesSpeed ? [] : [speedSentence(f) ?? []].flat())]
  const atMost: FormField[] =
    f.crr && f.standing !== 'clear' ? [{ name: 'C_rr at most', value: f.crr.interval[1], unit: '1', U: null }] : []
  return {
    ...headOf(draft),
    fields: [...made.fields, ...atMost],
    validity: {
      ...place(f),
      kind: more.length > 0 ? 'limited' : made.kind,
      why: [made.why, ...more, holdsFor(f)].join(' '),
    },
    ...warningOf(made),
    text: made.text,
    ...(made.file && { file: made.file }),
  }
}

export function refusal(head: Omit<Draft, 'make' | 'carriesSpeed'>, f: LaneFriction, why: string): FrictionForm {
  return { ...headOf(head), fields: [], validity: { ...place(f), kind: 'refused', why }, text: null }
}

export const headOf = ({ id, title, target, equation }: Omit<Draft, 'make' | 'carriesSpeed'>) => ({
  id,
  title,
  target,
  equation,
})

export const place = ({ speeds_m_s, guide, ball }: LaneFriction) => ({ speeds_m_s, guide, ball })

const warningOf = ({ warning }: Made): { warning?: string } => (warning === undefined ? {} : { warning })

/** A measured number as a field. */
export const measured = (name: string, { value, U, unit }: Estimate, shownUnit = unit): FormField => ({
  name,
  value,
  unit: shownUnit,
  U,
})

/** A number that follows from the choice of a form, without a ± of its own. */
export const chosen = (name: string, value: number, unit: string): FormField => ({ name, value, unit, U: null })
