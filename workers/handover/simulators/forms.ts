/** Which way of handing friction over. */
export type FormId =
  | 'coefficient'
  | 'lever-arm'
  | 'couple'
  | 'centre-drag'
  | 'damping'
  | 'acceleration'
  | 'rolling-body'
  | 'mjcf-lane'
  | 'mjcf-flat'
  | 'mjcf-frictionloss'
  | 'mjcf-damping'
  | 'mjcf-friction'
  | 'sdformat'
  | 'urdf'
  | 'bullet'
  | 'ode'
  | 'box2d'
  | 'rapier'
  | 'cannon-es'

/** One number of a form. `U` is the half width of its interval at the record's coverage; null where the number is chosen, not measured. */
export interface FormField {
  readonly name: string
  readonly value: number
  readonly unit: string
  readonly U: number | null
}

export interface FormValidity {
  /** `valid`: reproduces the measured motion. `limited`: does so under the conditions that `why` names. `refused`: would not, and is not handed over. */
  readonly kind: 'valid' | 'limited' | 'refused'
  /** One or more sentences. */
  readonly why: string
  /** Speeds that the marks cover [m/s]; null where there is no motion. */
  readonly speeds_m_s: readonly [number, number] | null
  readonly guide: string
  readonly ball: string
}

export interface FormFile {
  readonly name: string
  readonly mime: string
  readonly text: string
}

/** One way to hand a lane's friction to a simulator. */
export interface FrictionForm {
  readonly id: FormId
  readonly title: string
  /** What reads it. */
  readonly target: string
  /** Empty where refused. */
  readonly fields: readonly FormField[]
  readonly equation: string
  readonly validity: FormValidity
  /** What would falsify the motion, and the form that does not. */
  readonly warning?: string
  /** Ready to paste; null where refused. */
  readonly text: string | null
  readonly file?: FormFile
}
