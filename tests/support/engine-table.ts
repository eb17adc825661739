import { simulatorForms, mjcfLane, type FormId, type FrictionForm } from '../../workers/handover/simulators/index.ts'
import type { GuideShape } from '../../workers/physics/shapes.ts'
import { passage, rollCannon, rollMjcf, rollRapier, type Resisting, type Rolling } from './engine-lab.ts'
import { measuredLane } from './simulated-lane.ts'

const degrees = (angle: number): number => (angle * Math.PI) / 180

export const engineGuides: Readonly<Record<string, GuideShape>> = {
  flat: { kind: 'flat' },
  v120: { kind: 'v-groove', included_rad: degrees(120) },
  v90: { kind: 'v-groove', included_rad: degrees(90) },
  rails: { kind: 'two-rails', railRadius_m: 0.002, centres_m: 0.01 },
}
/** Along the world's x, between, and along its y. */
export const headings_deg = [0, 45, 90] as const

/** One row: what an engine made of a form. */
export interface EngineRow {
  readonly guide: string
  readonly engine: 'mujoco' | 'rapier' | 'cannon-es'
  readonly form: FormId
  readonly heading_deg: number
  /** What the handover says of it. */
  readonly said: FrictionForm['validity']['kind']
  /** Over the measured ones; null where the ball did not arrive. */
  readonly transitRatio: number | null
  readonly accelerationRatio: number | null
}

/**
 * Rolls a measured lane in the engines with what was handed over for each, from the measured entry with the measured speed: by the file or module where there is
 * one. Refused forms are rolled too, with the numbers a person would have used in spite of it. C_rr = 0.008 at 2°, ball of 16 mm; every run sets off at 0.2 m/s,
 * so that the mean of the measured times is that of the mean speed.
 */
export async function engineRows(guide: string): Promise<EngineRow[]> {
  const { record, book, result } = measuredLane({ guide: engineGuides[guide]!, entries_m_s: [0.2, 0.2, 0.2] })
  const series = result.series[0]!
  const length_m = series.exit!.at_m - series.entry!.at_m
  const speed_m_s = series.entry!.filmed.value
  const rows: EngineRow[] = []
  for (const heading_deg of headings_deg) {
    const heading_rad = degrees(heading_deg)
    const { friction, forms } = simulatorForms(record, book, result, { heading_rad })
    const of = (id: FormId) => forms.find((one) => one.id === id)!
    const add = (engine: EngineRow['engine'], form: FormId, rolling: Rolling) => {
      const passed = passage(rolling, length_m)
      rolling.close()
      rows.push({
        guide,
        engine,
        form,
        heading_deg,
        said: of(form).validity.kind,
        transitRatio: passed && passed.time_s / series.transit!.value,
        accelerationRatio: passed && passed.acceleration_m_s2 / series.acceleration.value,
      })
    }
    for (const id of ['mjcf-lane', 'mjcf-flat', 'mjcf-friction', 'mjcf-frictionloss', 'mjcf-damping'] as const)
      add('mujoco', id, await rollMjcf(of(id).file?.text ?? inSpiteOf(id, friction, heading_rad, speed_m_s)))
    const value = (id: FormId, name: string) => of(id).fields.find((one) => one.name === name)!.value
    const set = (resisting: Resisting) => ({ friction, heading_rad, speed_m_s, length_m, resisting })
    add('rapier', 'rapier', await rollRapier(set({ kind: 'module', text: of('rapier').file!.text })))
    add('rapier', 'couple', await rollRapier(set({ kind: 'couple', torque_N_m: value('couple', 'torque') })))
    const perSecond = value('damping', 'λ, linear and angular alike')
    add('rapier', 'damping', await rollRapier(set({ kind: 'damping', value: perSecond })))
    if (guide === 'rails') continue
    add('cannon-es', 'cannon-es', await rollCannon(set({ kind: 'module', text: of('cannon-es').file!.text })))
    const share = value('damping', 'd, linear and angular alike')
    add('cannon-es', 'damping', await rollCannon(set({ kind: 'damping', value: share })))
  }
  return rows
}

/** The file that was refused: the number of the equation, without regard to the guide or the heading. */
function inSpiteOf(
  id: FormId,
  { shape, body, riding, mass, slope, usable, gravity }: ReturnType<typeof simulatorForms>['friction'],
  heading_rad: number,
  v_m_s: number,
): string {
  if (!body || riding?.kind !== 'rides' || !mass || !slope || !usable)
    throw new Error('a refused form of a lane without numbers')
  const force_N = usable.value * mass.value * gravity.value * Math.cos(slope.value)
  return mjcfLane({
    name: 'refused',
    notes: ['In spite of the refusal.'],
    shape,
    geometry: riding,
    body,
    mass_kg: mass.value,
    slope_rad: slope.value,
    heading_rad,
    g_m_s2: gravity.value,
    length_m: 0.66,
    start: { s_m: 0, v_m_s },
    friction: 0.6,
    unit: 'm',
    ...(id === 'mjcf-friction'
      ? { resistance: { kind: 'contact', rolling_m: usable.value * body.radius_m } as const }
      : {
          resistance: {
            kind: 'free-joint',
            frictionloss: force_N / (1 + 1 / riding.rollingRadius_m),
            damping: 0,
          } as const,
          levelLane: true,
        }),
  })
}
