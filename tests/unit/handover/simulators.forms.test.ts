import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  simulatorForms,
  type FormId,
  type FrictionForm,
  type SimulatorHandover,
} from '../../../workers/handover/simulators/index.ts'
import { attribute, comment, digits } from '../../../workers/handover/simulators/xml.ts'
import { laneResults, sourceBookOf, type LaneResult } from '../../../workers/fit/index.ts'
import type { GuideShape } from '../../../workers/physics/shapes.ts'
import { measuredLane, type Measured } from '../../support/simulated-lane.ts'

const g = 9.80665
const degrees = (angle: number) => (angle * Math.PI) / 180
const flat: GuideShape = { kind: 'flat' }
const groove: GuideShape = { kind: 'v-groove', included_rad: degrees(90) }
const handOver = ({ record, book, result }: Measured, heading_rad = 0): SimulatorHandover =>
  simulatorForms(record, book, result, { heading_rad })
const form = ({ forms }: SimulatorHandover, id: FormId): FrictionForm => forms.find((one) => one.id === id)!
const field = (one: FrictionForm, name: string) => one.fields.find((candidate) => candidate.name === name)!
/** The same result with another C_rr. */
const withCrr = (measured: Measured, value: number, U: number): Measured => {
  const crr = { ...measured.result.crr!, value, U, u: U / 2, interval: [value - U, value + U] as const }
  const result: LaneResult = { ...measured.result, crr, ways: [] }
  return { ...measured, result }
}

const onFlat = measuredLane({ guide: flat })
const inGroove = measuredLane({ guide: groove })

describe('numbers', () => {
  const handed = handOver(onFlat)
  const { crr } = onFlat.result
  const theta = onFlat.result.series[0]!.slope!.value

  test('lever arm, couple, drag and damping all follow from one C_rr, each with its ±', () => {
    const dry = crr!.value * g * Math.cos(theta)
    expect(field(form(handed, 'lever-arm'), 'b').value).toBeCloseTo(crr!.value * 0.008, 12)
    expect(field(form(handed, 'lever-arm'), 'b').U).toBeCloseTo(crr!.U * 0.008, 12)
    expect(field(form(handed, 'centre-drag'), 'dry drag').value).toBeCloseTo(0.0168 * dry, 12)
    expect(field(form(handed, 'couple'), 'torque').value).toBeCloseTo(0.0168 * dry * 0.008, 14)
    expect(field(form(handed, 'ode'), 'rho').value).toBeCloseTo(0.0168 * dry * 0.008, 14)
    const damping = form(handed, 'damping')
    const rate = field(damping, 'λ, linear and angular alike').value
    expect(rate * field(damping, 'v_ref').value).toBeCloseTo(dry / 1.4, 12)
    expect(field(damping, 'd, linear and angular alike').value).toBeCloseTo(1 - Math.exp(-rate), 12)
    const loss = field(form(handed, 'mjcf-frictionloss'), 'frictionloss').value
    expect(loss * (1 + 1 / 0.008)).toBeCloseTo(0.0168 * dry, 10)
  })

  test('the ± of a force that shares its source with C_rr counts it once, signs and all', () => {
    const measured = measuredLane({ guide: flat })
    const { record } = measured
    record.sources['level'] = {
      id: 'level',
      name: 'level',
      unit: 'rad',
      distribution: { kind: 'normal', u: 0.001 },
    }
    record.mountings['on-A']!.slope = { kind: 'angle', angle_rad: { value: degrees(2), sources: ['level'] } }
    const again = handOver({ ...measured, ...remeasured(measured) })
    const drag = field(form(again, 'centre-drag'), 'dry drag per mass')
    // d(c·g·cos θ)/dθ with dc/dθ = 1/cos²θ − …: taken from the closed form by moving the slope.
    const a = measured.push_m_s2
    const at = (slope: number) => g * Math.sin(slope) - 1.4 * a
    const byHand = (at(degrees(2) + 0.001) - at(degrees(2) - 0.001)) / 2
    expect(drag.U! / 2 / byHand).toBeCloseTo(1, 1)
  })

  test('damping says how far it misses, and that it cannot stall a ball', () => {
    const { validity, warning } = form(handed, 'damping')
    expect(validity.kind).toBe('limited')
    expect(validity.why).toMatch(/time comes out .* %.*stall/)
    expect(warning).toContain('drag at the centre')
  })
})

describe('validity', () => {
  const guides: Readonly<Record<string, GuideShape>> = {
    'V-groove': groove,
    'two rails': { kind: 'two-rails', railRadius_m: 0.002, centres_m: 0.01 },
    slot: { kind: 'slot', gap_m: 0.01 },
  }

  test.each(Object.keys(guides))('%s: contact friction is refused, with the form that holds instead', (name) => {
    const handed = handOver(measuredLane({ guide: guides[name]! }))
    for (const id of ['lever-arm', 'mjcf-friction', 'bullet', 'ode'] as const) {
      const one = form(handed, id)
      expect(one.validity.kind, id).toBe('refused')
      expect(one.validity.why, id).toMatch(/two contacts.*instead/s)
      expect(one.text, id).toBeNull()
      expect(one.file, id).toBeUndefined()
    }
    for (const id of ['coefficient', 'centre-drag', 'couple', 'mjcf-lane', 'mjcf-flat', 'rapier', 'cannon-es'] as const)
      expect(form(handed, id).validity.kind, id).toBe('valid')
    for (const id of ['sdformat', 'urdf'] as const) {
      expect(form(handed, id).validity.kind, id).toBe('limited')
      expect(form(handed, id).warning, id).toContain('two contacts')
      expect(field(form(handed, id), 'rolling_friction').value).toBe(0)
    }
  })

  test('on the flat the contact forms are handed over', () => {
    const handed = handOver(onFlat)
    for (const id of ['lever-arm', 'mjcf-friction'] as const) expect(form(handed, id).validity.kind).toBe('valid')
    expect(form(handed, 'sdformat').text).toContain('<rolling_friction>0.000064</rolling_friction>')
    expect(form(handed, 'urdf').text).toContain('<rolling_friction value="0.000064"/>')
  })

  test('the friction loss of a free joint is refused off the axes of the world', () => {
    expect(form(handOver(inGroove, degrees(90)), 'mjcf-frictionloss').validity.kind).toBe('limited')
    const slanting = form(handOver(inGroove, degrees(45)), 'mjcf-frictionloss')
    expect(slanting.validity.kind).toBe('refused')
    expect(slanting.validity.why).toContain('1.41')
    const leaning = measuredLane({ guide: { kind: 'v-groove', included_rad: degrees(90), roll_rad: degrees(10) } })
    expect(form(handOver(leaning), 'mjcf-frictionloss').validity.kind).toBe('refused')
  })

  test('a small arm is written in millimetres, where the engine keeps it', () => {
    const small = form(handOver(measuredLane({ guide: flat, crr: 0.0015 })), 'mjcf-friction')
    expect(small.file!.text).toContain('Units: mm')
    expect(small.validity.why).toContain('millimetres')
    expect(form(handOver(onFlat), 'mjcf-friction').file!.text).toContain('Units: m,')
  })

  test('every form names speeds, guide and ball', () => {
    for (const { validity } of handOver(inGroove).forms) {
      expect(validity.guide).toBe('V-groove of 90.0°')
      expect(validity.ball).toBe('steel ball (16.0 mm)')
      expect(validity.speeds_m_s![0]).toBeLessThan(0.25)
      expect(validity.speeds_m_s![1]).toBeGreaterThan(0.5)
    }
  })

  test('where resistance grows with speed, forms of one number are limited and the drag carries both parts', () => {
    const handed = handOver(measuredLane({ rate_per_s: 0.3, slope_rad: degrees(4), entries_m_s: [0.05, 0.06, 0.07] }))
    expect(form(handed, 'coefficient').validity.kind).toBe('limited')
    expect(form(handed, 'coefficient').validity.why).toContain('grows with speed')
    const drag = form(handed, 'centre-drag')
    expect(drag.validity.kind).toBe('valid')
    expect(field(drag, 'dry drag per mass').value).toBeCloseTo(0.008 * g * Math.cos(degrees(4)), 3)
    expect(field(drag, 'drag per mass and speed').value).toBeCloseTo(1.8 * 0.3, 3)
    expect(form(handed, 'mjcf-lane').text).toMatch(/damping="0\.00907/)
  })
})

describe('what is missing is said, and the rest is handed over', () => {
  const kinds = (handed: SimulatorHandover) =>
    Object.fromEntries(handed.forms.map(({ id, validity }) => [id, validity.kind]))

  test('a lane without result: the ball and its rolling only', () => {
    const measured = measuredLane()
    const run = measured.record.runs['run1']!
    measured.record.runs = {
      run1: { ...run, marks: { ...run.marks, frame: [], ticks: [], x: [], y: [], sigma: [], origin: [], doubt: [] } },
    }
    const handed = handOver({ ...measured, ...remeasured(measured) })
    expect(kinds(handed)['rolling-body']).toBe('valid')
    for (const one of handed.forms.filter(({ id }) => id !== 'rolling-body')) {
      expect(one.validity.kind, one.id).toBe('refused')
      expect(one.validity.why, one.id).toContain('no run that could be fitted')
    }
  })

  test('slope unknown: the acceleration as measured, and why there is no friction', () => {
    const handed = handOver(measuredLane({ slope: { kind: 'unknown' } }))
    expect(kinds(handed).acceleration).toBe('limited')
    expect(kinds(handed)['rolling-body']).toBe('valid')
    expect(form(handed, 'centre-drag').validity.why).toMatch(
      /slope of lane A, as cut is not known.*film runs the other way/,
    )
  })

  test('mass unknown: no force in newtons, but all that is per mass', () => {
    const handed = handOver(measuredLane({ mass_kg: null }))
    for (const id of ['mjcf-frictionloss', 'mjcf-damping'] as const) {
      expect(kinds(handed)[id]).toBe('refused')
      expect(form(handed, id).validity.why).toMatch(/mass of the ball is not known.*Weigh/)
    }
    expect(kinds(handed)['centre-drag']).toBe('valid')
    expect(form(handed, 'centre-drag').fields.map(({ name }) => name)).toEqual(['dry drag per mass'])
    expect(kinds(handed)['mjcf-lane']).toBe('limited')
    expect(form(handed, 'mjcf-lane').validity.why).toContain('1 kg')
  })

  test('C_rr not clear of zero: the value, and the most it can be', () => {
    const handed = handOver(withCrr(onFlat, 0.0004, 0.001))
    const one = form(handed, 'lever-arm')
    expect(one.validity.kind).toBe('limited')
    expect(one.validity.why).toMatch(/not clear of zero.*0\.0014/)
    expect(field(one, 'b').value).toBeCloseTo(0.0004 * 0.008, 12)
    expect(field(one, 'C_rr at most').value).toBeCloseTo(0.0014, 12)
  })

  test('C_rr below zero within its ±: zero, and the most it can be; never a force that pushes', () => {
    const handed = handOver(withCrr(onFlat, -0.0004, 0.001))
    for (const one of handed.forms.filter(({ validity }) => validity.kind !== 'refused'))
      for (const { name, value } of one.fields) expect(value, `${one.id}: ${name}`).toBeGreaterThanOrEqual(0)
    expect(form(handed, 'centre-drag').validity.why).toMatch(/negative friction.*0\.00060/)
    expect(field(form(handed, 'centre-drag'), 'C_rr at most').value).toBeCloseTo(0.0006, 12)
  })

  test('C_rr below zero by more than its ±: refused, with what to check', () => {
    const handed = handOver(withCrr(onFlat, -0.004, 0.001))
    expect(form(handed, 'centre-drag').validity.kind).toBe('refused')
    expect(form(handed, 'centre-drag').validity.why).toContain('filming rate')
    expect(kinds(handed)['rolling-body']).toBe('valid')
  })

  test('a ball that falls through its rails: refused with the sizes', () => {
    const measured = measuredLane({ guide: { kind: 'two-rails', railRadius_m: 0.002, centres_m: 0.01 } })
    const exactly = (value: number) => ({ value, sources: [] })
    measured.record.lanes['A']!.guide = { kind: 'two-rails', railRadius_m: exactly(0.002), centres_m: exactly(0.03) }
    const handed = handOver({ ...measured, ...remeasured(measured) })
    expect(form(handed, 'rolling-body').validity.why).toContain('lets the ball of 16 mm through')
    expect(form(handed, 'centre-drag').validity.kind).toBe('refused')
    expect(form(handed, 'acceleration').validity.kind).toBe('limited')
  })
})

describe('texts and files', () => {
  test('hold no number that is none, whatever the lane', () => {
    const lanes = [onFlat, inGroove, measuredLane({ mass_kg: null }), measuredLane({ uphill: true })]
    fc.assert(
      fc.property(
        fc.constantFrom(...lanes),
        fc.double({ min: -0.01, max: 0.05, noNaN: true }),
        fc.double({ min: 1e-6, max: 0.01, noNaN: true }),
        fc.double({ min: 0, max: 2 * Math.PI, noNaN: true }),
        (lane, crr, U, heading) => {
          for (const one of handOver(withCrr(lane, crr, U), heading).forms) {
            const written = [one.validity.why, one.warning ?? '', one.text ?? '', one.file?.text ?? ''].join('\n')
            expect(written, one.id).not.toMatch(/NaN|Infinity|undefined|null|\[object/)
            expect(one.text === null, one.id).toBe(one.validity.kind === 'refused')
            for (const { name, value, U: half } of one.fields) {
              expect(Number.isFinite(value), `${one.id}: ${name}`).toBe(true)
              if (half !== null) expect(half, `${one.id}: ${name}`).toBeGreaterThanOrEqual(0)
            }
            if (one.file?.name.match(/\.(xml|sdf|urdf)$/)) expect(openTags(one.file.text), one.id).toEqual([])
          }
        },
      ),
      { numRuns: 40, seed: 5 },
    )
  })

  test('names that would break a file are made safe', () => {
    const measured = measuredLane()
    measured.record.finishes['cut']!.name = 'as cut -- "rough" <&>'
    for (const { file } of handOver(measured).forms) {
      if (!file) continue
      expect(file.name).toMatch(/^lane-a-as-cut-rough[a-z0-9.-]*$/)
      if (!file.name.endsWith('.mjs')) expect(openTags(file.text)).toEqual([])
    }
    expect(comment(['a -- b', 'ends -'])).not.toMatch(/--(?!>)(?<!<!--)/)
    expect(attribute('<a & "b">')).toBe('&lt;a &amp; &quot;b&quot;&gt;')
    expect(digits(0.1 + 0.2)).toBe('0.3')
    expect(() => digits(NaN)).toThrow('cannot be written')
  })

  test('the module for Rapier drags against the velocity, and stops a ball instead of turning it back', async () => {
    const file = form(handOver(inGroove), 'rapier').file!
    const module = (await import(`data:text/javascript,${encodeURIComponent(file.text)}`)) as {
      resist: (body: unknown, dt: number) => void
    }
    const impulseOn = (x: number, y: number, dt: number) => {
      const found: { x: number; y: number; z: number }[] = []
      const body = {
        linvel: () => ({ x, y, z: 0 }),
        applyImpulse: (impulse: { x: number; y: number; z: number }) => found.push(impulse),
      }
      module.resist(body, dt)
      return found[0]
    }
    const dry = inGroove.result.crr!.value * g * Math.cos(degrees(2))
    const impulse = impulseOn(0.3, -0.4, 0.001)!
    expect(Math.hypot(impulse.x, impulse.y)).toBeCloseTo(0.0168 * dry * 0.001, 12)
    expect(impulse.x / impulse.y).toBeCloseTo(-0.75, 12)
    expect(impulse.x).toBeLessThan(0)
    expect(impulseOn(1e-6, 0, 0.01)!.x).toBeCloseTo(-0.0168 * 1.8e-6, 14)
    expect(impulseOn(0, 0, 0.01)).toBeUndefined()
  })
})

/** Tags of an XML text that are not closed, or closed in the wrong order. */
function openTags(text: string): string[] {
  const open: string[] = []
  const withoutComments = text.replace(/<!--(?:(?!--)[\s\S])*-->/g, '').replace(/<\?[^>]*\?>/g, '')
  for (const [, closing, name, inside] of withoutComments.matchAll(/<(\/?)([a-zA-Z!][\w-]*)((?:[^<>"]|"[^"<]*")*)>/g)) {
    if (closing) {
      if (open.pop() !== name) return [`</${name}>`]
    } else if (!inside!.endsWith('/')) open.push(name!)
  }
  return withoutComments.replace(/<[^<>]*>/g, '').includes('<') ? ['<'] : open
}

/** Results of a record that was changed after it was made. */
function remeasured({ record }: Measured): Pick<Measured, 'book' | 'result'> {
  const book = sourceBookOf(record)
  return { book, result: laneResults(record, book)[0]! }
}
