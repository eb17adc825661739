import * as maths from '../../elementary/maths.ts'
import { linearised } from '../../decide/linearised.ts'
import type { Estimate } from '../../record/index.ts'
import { transitUnder } from '../resimulate/integrate.ts'
import { laneLaw } from '../resimulate/lane-law.ts'
import { coupleArm, dragPerMass, asForce, leverArm, product, viscousPerMass } from './amounts.ts'
import { chosen, measured, type Draft, type Ready } from './form-draft.ts'
import { referenceSpeed_m_s } from './lane-friction.ts'
import { dampingMiss, leavesContactAlone, stated, twoContacts } from './sentences.ts'
import { digits } from './xml.ts'

export const coefficient: Draft = {
  id: 'coefficient',
  title: 'Dimensionless coefficient',
  target: 'your own equations; engines whose rolling resistance is a share of the weight',
  equation: 'a = g·(sin θ − C_rr·cos θ)/k',
  carriesSpeed: false,
  make: ({ c, k, rollingRadius }) => ({
    fields: [measured('C_rr', c), measured('k', k), measured('r_e', rollingRadius)],
    kind: 'valid',
    why: 'C_rr is the force that holds the ball back over its weight across the lane, all losses together; k is what the spin adds to the mass.',
    text: [
      `C_rr = ${digits(c.value, 6)}    # ${stated(c, '')}`,
      `k    = ${digits(k.value, 7)}    # 1 + I/(m·r_e²)`,
      `r_e  = ${digits(rollingRadius.value, 7)}    # m`,
    ].join('\n'),
  }),
}

export const leverArmForm: Draft = {
  id: 'lever-arm',
  title: 'Lever arm of rolling friction',
  target: 'engines with rolling friction as a length',
  equation: 'b = C_rr·R; couple = b·N against the roll',
  carriesSpeed: false,
  make: (ready) => {
    if (ready.riding.contacts.length > 1)
      return {
        fields: [],
        kind: 'refused',
        why: twoContacts(ready.riding, 'the drag or the couple at the centre'),
        text: null,
      }
    const b = leverArm(ready)
    return {
      fields: [measured('b', b), measured('R', ready.radius)],
      kind: 'valid',
      why: 'On one contact a couple b·N gives exactly the measured deceleration.',
      text: `b = ${digits(b.value, 6)}    # m, ${stated({ value: 1e3 * b.value, U: 1e3 * b.U }, 'mm')}`,
    }
  },
}

export const couple: Draft = {
  id: 'couple',
  title: 'Couple against the roll',
  target: 'any engine that takes a torque on a body',
  equation: 'T = −C_rr·m·g·cos θ·r_e·ω/|ω|',
  carriesSpeed: false,
  make: (ready) => {
    const arm = coupleArm(ready)
    const perMass = product(ready, 'm2/s2', [dragPerMass(ready, ready.c), ready.rollingRadius])
    const torque = ready.mass && product(ready, 'N.m', [perMass, ready.mass])
    return {
      fields: [
        measured('couple over weight across the lane', arm),
        measured('torque per mass', perMass),
        ...(torque ? [measured('torque', torque)] : []),
      ],
      kind: 'valid',
      why: `Applied at the ball’s centre against its spin, it slows the ball like the drag does, in any guide and direction; only the traction at the contacts differs. ${leavesContactAlone}`,
      text: [
        `torque_per_mass = ${digits(perMass.value, 6)}    # m²/s²`,
        'w = angular velocity of the ball',
        'if |w| > 0: apply torque  -mass * torque_per_mass * w / |w|',
        `# no more than stops the ball in one step: |T| <= mass * ${digits(ready.k.value * ready.rollingRadius.value ** 2, 6)} * |w| / dt`,
        `# ${leavesContactAlone}`,
      ].join('\n'),
    }
  },
}

export const centreDrag: Draft = {
  id: 'centre-drag',
  title: 'Drag at the centre',
  target: 'any engine that takes a force on a body',
  equation: 'F = −m·(C_rr·g·cos θ + k·rate·|v| + k·β·v²)·v/|v|',
  carriesSpeed: true,
  make: (ready) => {
    const { law, k, mass } = ready
    const dry = dragPerMass(ready)
    const viscous = viscousPerMass(ready)
    const square = law.drag_per_m > 0 ? k.value * law.drag_per_m : 0
    const force = mass && asForce(ready, dry, mass)
    return {
      fields: [
        measured('dry drag per mass', dry),
        ...(force ? [measured('dry drag', force)] : []),
        ...(viscous ? [measured('drag per mass and speed', viscous)] : []),
        ...(square > 0 ? [chosen('drag per mass and speed squared', square, '1/m')] : []),
      ],
      kind: 'valid',
      why: `A force at the centre against the velocity holds for every guide, direction and engine: it asks nothing of the contacts but grip. ${leavesContactAlone}`,
      text: dragText(ready, dry, viscous, square),
    }
  },
}

function dragText({ k, slope, mass }: Ready, dry: Estimate, viscous: Estimate | null, square: number): string {
  const parts = ['dry', viscous ? 'viscous * |v|' : '', square > 0 ? 'square * |v|²' : ''].filter((part) => part !== '')
  return [
    `dry = ${digits(dry.value, 6)}    # m/s², ${stated(dry, 'm/s²')}; C_rr·g·cos θ at the measured slope of ${digits((slope.value * 180) / Math.PI, 4)}°`,
    ...(viscous ? [`viscous = ${digits(viscous.value, 6)}    # 1/s, ${stated(viscous, '1/s')}`] : []),
    ...(square > 0 ? [`square = ${digits(square, 6)}    # 1/m`] : []),
    `mass = ${mass ? `${digits(mass.value, 6)}    # kg` : 'that of your ball    # not known here; the motion does not depend on it'}`,
    'each step, before the engine moves the ball:',
    '  v = velocity of the centre',
    `  F = mass * (${parts.join(' + ')})`,
    `  F = min(F, ${digits(k.value, 7)} * mass * |v| / dt)    # no more than stops the ball in one step`,
    '  if |v| > 0: apply force  -F * v / |v|  at the centre',
    `# ${leavesContactAlone}`,
  ].join('\n')
}

/** Damping that takes as much energy over the way as the measured resistance: rate of the speed [1/s] where linear and angular damping are equal. */
export function equalDamping(
  ready: Ready,
): { readonly rate: Estimate; readonly at_m_s: number; readonly why: string } | null {
  const { f, k, law, book } = ready
  const { series } = f
  if (!series) return null
  const at_m_s = referenceSpeed_m_s(series)
  if (!(at_m_s > 0)) return null
  const perMass = dragPerMass(ready)
  const value = perMass.value / (k.value * at_m_s) + (law.rate?.value ?? 0) + law.drag_per_m * at_m_s
  const rate = linearised(book, '1/s', value, [
    { weight: 1 / (k.value * at_m_s), estimate: perMass },
    { weight: -perMass.value / (k.value ** 2 * at_m_s), estimate: k },
    ...(law.rate ? [{ weight: 1, estimate: law.rate }] : []),
  ])
  return { rate, at_m_s, why: dampingMiss(missOf(ready, value), at_m_s) }
}

/** Time and exit speed under damping alone over those under the measured law, from entry to exit. */
function missOf({ f }: Ready, rate_per_s: number): { readonly time: number; readonly speed: number } | null {
  const law = laneLaw(f)
  const { series } = f
  if (!law || !series?.entry || !series.exit) return null
  const [from, to] = [series.travel * series.entry.at_m, series.travel * series.exit.at_m]
  const entry = Math.max(0, series.entry.filmed.value)
  const stretches = law.stretches.map((stretch) => ({ ...stretch, resistance: 0 }))
  const [under, damped] = [law, { ...law, stretches, rate_per_s, drag_per_m: 0 }].map((one) =>
    transitUnder(one, from, to, entry),
  )
  if (!under || !damped) return null
  return { time: damped.time_s / under.time_s, speed: damped.exit_m_s / under.exit_m_s }
}

export const damping: Draft = {
  id: 'damping',
  title: 'Linear and angular damping',
  target: 'engines without rolling friction (Rapier, Jolt, cannon-es, Bullet and others)',
  equation:
    'rate = (λ_linear + (k − 1)·λ_angular)/k; C_rr·g·cos θ/k = rate·v_ref; where v ← v·(1 − d)^dt, d = 1 − e^(−λ)',
  carriesSpeed: true,
  make: (ready) => {
    const found = equalDamping(ready)
    if (!found)
      return {
        fields: [],
        kind: 'refused',
        why: 'No speed was measured at which a damping could be matched.',
        text: null,
      }
    const { rate, at_m_s, why } = found
    const share = linearised(ready.book, '1', -maths.expm1(-rate.value), [
      { weight: maths.exp(-rate.value), estimate: rate },
    ])
    return {
      fields: [
        measured('λ, linear and angular alike', rate),
        measured('d, linear and angular alike', share),
        chosen('v_ref', at_m_s, 'm/s'),
      ],
      kind: 'limited',
      why,
      warning:
        'The drag at the centre reproduces the motion at every speed and can stall the ball; take damping only where an engine gives no way to apply a force.',
      text: [
        `# rate per second (Rapier linearDamping/angularDamping, Jolt mLinearDamping/mAngularDamping):`,
        `linear = angular = ${digits(rate.value, 6)}    # 1/s, ${stated(rate, '1/s')}`,
        `# share lost per second, v ← v·(1 − d)^dt (Bullet setDamping, cannon-es linearDamping/angularDamping):`,
        `linear = angular = ${digits(share.value, 6)}    # ${stated(share, '')}`,
        '# Jolt starts from 0.05 and cannon-es from 0.01 where nothing is set.',
      ].join('\n'),
    }
  },
}
