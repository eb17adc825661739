import { describe, expect, test } from 'vitest'
import { mjcfLane, simulatorForms, type FormId, type FrictionForm } from '../../workers/handover/simulators/index.ts'
import { resimulateRun } from '../../workers/handover/resimulate/index.ts'
import type { GuideShape } from '../../workers/physics/shapes.ts'
import { constantAcceleration } from '../../workers/physics/kinematics.ts'
import {
  passage,
  rollCannon,
  rollMjcf,
  rollRapier,
  stall,
  type Resisting,
  type Rolling,
} from '../support/engine-lab.ts'
import { engineRows, type EngineRow } from '../support/engine-table.ts'
import { measuredLane, type Measured } from '../support/simulated-lane.ts'

// Sources: MuJoCo 3.14, Rapier 0.21 and cannon-es 0.20, three independent rigid-body engines, loaded with what the tool hands over: through the MJCF file and
// the modules as they are written. They reproduce the measured time from entry to exit and the measured acceleration where a form is said to be valid.

const within = 0.005
const degrees = (angle: number) => (angle * Math.PI) / 180
const rows = new Map<string, Promise<EngineRow[]>>()
const rowsOf = (guide: string) => {
  if (!rows.has(guide)) rows.set(guide, engineRows(guide))
  return rows.get(guide)!
}
const nameOf = ({ engine, form, heading_deg }: EngineRow) => `${engine}, ${form}, heading ${heading_deg}°`

describe.each(['flat', 'v90', 'rails'])('%s', (guide) => {
  test('forms said to be valid reproduce measured time and acceleration within 0.5 %, along, across and between the axes', async () => {
    const valid = (await rowsOf(guide)).filter(({ said }) => said === 'valid')
    for (const heading of [0, 45, 90])
      for (const engine of guide === 'rails' ? ['mujoco', 'rapier'] : ['mujoco', 'rapier', 'cannon-es'])
        expect(
          valid.some((row) => row.heading_deg === heading && row.engine === engine),
          `${engine} at ${heading}°`,
        ).toBe(true)
    for (const row of valid) {
      expect(Math.abs(row.transitRatio! - 1), nameOf(row)).toBeLessThan(within)
      expect(Math.abs(row.accelerationRatio! - 1), nameOf(row)).toBeLessThan(within)
    }
  })

  test('the friction loss of a free joint holds along and across the axes, and is wrong where it is refused', async () => {
    for (const row of (await rowsOf(guide)).filter(({ form }) => form === 'mjcf-frictionloss')) {
      expect(row.said).toBe(row.heading_deg === 45 ? 'refused' : 'limited')
      const miss = Math.abs(row.accelerationRatio! - 1)
      if (row.said === 'limited') expect(miss, nameOf(row)).toBeLessThan(within)
      else expect(miss, nameOf(row)).toBeGreaterThan(0.1)
    }
  })

  test('contact friction is refused on two contacts, where it is wrong by far', async () => {
    for (const row of (await rowsOf(guide)).filter(({ form }) => form === 'mjcf-friction')) {
      expect(row.said).toBe(guide === 'flat' ? 'valid' : 'refused')
      if (row.said === 'refused') expect(Math.abs(row.accelerationRatio! - 1), nameOf(row)).toBeGreaterThan(0.05)
    }
  })

  test('damping misses as far as the handover says', async () => {
    const damped = (await rowsOf(guide)).filter(({ form }) => form === 'damping' || form === 'mjcf-damping')
    const { record, book, result } = measuredLane({ guide: guideOf(guide), entries_m_s: [0.2, 0.2, 0.2] })
    const { forms } = simulatorForms(record, book, result)
    const [, percent, side] = /time comes out ([\d.]+) % too (great|small)/.exec(of(forms, 'damping').validity.why)!
    const said = 1 + ((side === 'great' ? 1 : -1) * Number(percent)) / 100
    expect(damped.length).toBeGreaterThan(5)
    for (const row of damped) {
      expect(row.said).toBe('limited')
      expect(Math.abs(row.transitRatio! - said), nameOf(row)).toBeLessThan(0.002)
    }
  })
})

test('the re-simulation of a run and the engine that loads its file are at the same place at the same time', async () => {
  const { record, book, result } = measuredLane({ entries_m_s: [0.2, 0.2, 0.2] })
  const { forms } = simulatorForms(record, book, result)
  const ours = resimulateRun(record, book, result, result.series[0]!.runs[0]!.runId)
  if (ours.kind !== 'resimulated') throw new Error(ours.why)
  const { at_m, filmed } = result.series[0]!.entry!
  const rolling = await rollMjcf(of(forms, 'mjcf-lane').file!.text)
  const first = ours.s_m.findIndex((s) => s >= at_m)
  const settled = ours.t_s[first]! - (ours.s_m[first]! - at_m) / filmed.value
  let steps = 0
  for (const wait of [0.4, 0.8, 1.2]) {
    while (steps * rolling.step_s < wait) {
      rolling.step()
      steps++
    }
    const i = ours.t_s.findIndex((t) => t >= settled + steps * rolling.step_s)
    const share = (settled + steps * rolling.step_s - ours.t_s[i - 1]!) / (ours.t_s[i]! - ours.t_s[i - 1]!)
    const s = ours.s_m[i - 1]! + share * (ours.s_m[i]! - ours.s_m[i - 1]!)
    expect(Math.abs(at_m + rolling.way_m() - s)).toBeLessThan(2e-4)
  }
  rolling.close()
})

test('the file of the whole lane holds in guides of every other shape, leaning and shallow ones too', async () => {
  const guides: Readonly<Record<string, GuideShape>> = {
    'V-groove of 60°': { kind: 'v-groove', included_rad: degrees(60) },
    'V-groove of 90° leaning by 10°': { kind: 'v-groove', included_rad: degrees(90), roll_rad: degrees(10) },
    'V of 35° and 55°': { kind: 'unequal-v', left_rad: degrees(35), right_rad: degrees(55) },
    'V-groove of 90°, 2 mm deep': { kind: 'v-groove', included_rad: degrees(90), depth_m: 0.002 },
    'slot of 10 mm': { kind: 'slot', gap_m: 0.01 },
    'slot of 6 mm, ridden on its floor': { kind: 'slot', gap_m: 0.006, depth_m: 0.0004 },
    'channel of 20 mm radius': { kind: 'channel', radius_m: 0.02 },
    'rolling radius of 6.5 mm': { kind: 'typed', rollingRadius_m: 0.0065 },
  }
  for (const [name, guide] of Object.entries(guides)) {
    const measured = measuredLane({ guide, entries_m_s: [0.2, 0.2, 0.2] })
    const { forms } = simulatorForms(measured.record, measured.book, measured.result, { heading_rad: degrees(45) })
    expectMeasured(name, await rollMjcf(of(forms, 'mjcf-lane').file!.text), measured)
    expectMeasured(`${name}, flat`, await rollMjcf(of(forms, 'mjcf-flat').file!.text), measured)
  }
})

test('a small rolling friction holds in the millimetres it is written in, and is lost in metres', async () => {
  const measured = measuredLane({ guide: { kind: 'flat' }, crr: 0.0004, entries_m_s: [0.2, 0.2, 0.2] })
  const { forms } = simulatorForms(measured.record, measured.book, measured.result)
  const { text } = of(forms, 'mjcf-friction').file!
  expect(text).toContain('Units: mm')
  expectMeasured('millimetres', await rollMjcf(text), measured)
  // The same lane in metres: the engine raises 0.0004 · 8 mm to its least contact friction of 1e-5.
  const { friction } = simulatorForms(measured.record, measured.book, measured.result)
  if (friction.riding?.kind !== 'rides') throw new Error('the ball does not ride')
  const inMetres = mjcfLane({
    name: 'metres',
    notes: [],
    shape: friction.shape,
    geometry: friction.riding,
    body: friction.body!,
    mass_kg: 0.0168,
    slope_rad: friction.slope!.value,
    heading_rad: 0,
    g_m_s2: 9.80665,
    length_m: 0.66,
    start: { s_m: 0, v_m_s: 0.2 },
    friction: 0.5,
    resistance: { kind: 'contact', rolling_m: 0.0004 * 0.008 },
    unit: 'm',
  })
  const rolling = await rollMjcf(inMetres)
  const { acceleration_m_s2 } = passage(rolling, 0.6)!
  rolling.close()
  expect(acceleration_m_s2 / measured.result.series[0]!.acceleration.value).toBeLessThan(0.98)
})

describe('a lane whose resistance grows with speed', () => {
  const measured = measuredLane({ rate_per_s: 0.3, slope_rad: degrees(4), entries_m_s: [0.06, 0.06, 0.06] })

  test('rolls right in all engines by the forms that carry both parts', async () => {
    for (const [name, rolling] of await validRolls(measured, degrees(45))) expectMeasured(name, rolling, measured)
  })
})

test('sent up the lane, a ball slows as measured in all engines', async () => {
  const measured = measuredLane({ uphill: true, entries_m_s: [0.75, 0.75, 0.75] })
  expect(measured.result.series[0]!.acceleration.value).toBeLessThan(0)
  for (const [name, rolling] of await validRolls(measured, degrees(45))) expectMeasured(name, rolling, measured)
})

test('above the slope the drag stalls the ball where the closed form says and holds it there; damping does not', async () => {
  // 0.4 m/s at C_rr = 0.03 on a lane of 0.5°: the ball is measured slowing down, and goes on beyond its end until it rests.
  const measured = measuredLane({ crr: 0.03, slope_rad: degrees(0.5), entries_m_s: [0.45, 0.45, 0.45] })
  const series = measured.result.series[0]!
  const way_m = constantAcceleration(60, series.entry!.filmed.value, series.acceleration.value, true).s_m
  const length = { ...measured.result, stretch: null }
  measured.record.views['view']!.lines = {}
  measured.record.lanes['A']!.length_m = { value: 1.2, sources: [] }
  for (const [name, rolling] of await validRolls({ ...measured, result: length }, 0)) {
    const found = stall(rolling, 8)
    rolling.close()
    expect(found, name).not.toBeNull()
    expect(Math.abs(found!.way_m / way_m - 1), name).toBeLessThan(within)
    expect(found!.creep_m, name).toBeLessThan(2e-4)
  }
  const { friction, forms } = simulatorForms(measured.record, measured.book, length)
  const rate = of(forms, 'damping').fields[0]!.value
  const damped = await rollRapier({
    friction,
    heading_rad: 0,
    speed_m_s: series.entry!.filmed.value,
    length_m: 3,
    resisting: { kind: 'damping', value: rate },
  })
  expect(stall(damped, 6)).toBeNull()
  damped.close()
})

function of(forms: readonly FrictionForm[], id: FormId): FrictionForm {
  return forms.find((one) => one.id === id)!
}

function guideOf(guide: string) {
  return guide === 'flat'
    ? ({ kind: 'flat' } as const)
    : guide === 'v90'
      ? ({ kind: 'v-groove', included_rad: degrees(90) } as const)
      : ({ kind: 'two-rails', railRadius_m: 0.002, centres_m: 0.01 } as const)
}

/** The lane in each engine, by the form that is valid for it. */
async function validRolls({ record, book, result }: Measured, heading_rad: number): Promise<[string, Rolling][]> {
  const { friction, forms } = simulatorForms(record, book, result, { heading_rad })
  const series = result.series[0]!
  const length_m = friction.length_m ?? 1
  const set = (resisting: Resisting) => ({
    friction,
    heading_rad,
    speed_m_s: series.entry!.filmed.value,
    length_m,
    resisting,
  })
  for (const id of ['mjcf-lane', 'rapier', 'cannon-es'] as const) expect(of(forms, id).validity.kind, id).toBe('valid')
  return [
    ['mujoco', await rollMjcf(of(forms, 'mjcf-lane').file!.text)],
    ['rapier', await rollRapier(set({ kind: 'module', text: of(forms, 'rapier').file!.text }))],
    ['cannon-es', await rollCannon(set({ kind: 'module', text: of(forms, 'cannon-es').file!.text }))],
  ]
}

function expectMeasured(name: string, rolling: Rolling, { result }: Measured): void {
  const { entry, exit, transit, acceleration } = result.series[0]!
  const passed = passage(rolling, Math.abs(exit!.at_m - entry!.at_m))
  rolling.close()
  expect(Math.abs(passed!.time_s / transit!.value - 1), name).toBeLessThan(within)
  // Over the whole way the acceleration is that of the parabola only where it is constant.
  if (result.series[0]!.model.kind === 'constant-acceleration')
    expect(Math.abs(passed!.acceleration_m_s2 / acceleration.value - 1), name).toBeLessThan(within)
}
