import * as maths from '../../elementary/maths.ts'
import { leastFriction } from '../../physics/slip.ts'
import { rollingGeometry, type Rides } from '../../physics/rolling-geometry.ts'
import { asForce, dragPerMass, leverArm, product, viscousPerMass } from './amounts.ts'
import { chosen, measured, type Draft, type Made, type Ready } from './form-draft.ts'
import { equalDamping } from './generic-forms.ts'
import { mjcfLane, type LaneScene } from './mjcf-lane.ts'
import { fileStem } from './names.ts'
import { noMass, slopesSentence, stated, twoContacts } from './sentences.ts'
import { digits } from './xml.ts'

const mime = 'application/xml'
/** Least contact friction that MuJoCo keeps, in the file's unit of length (mjMINMU). */
const leastContact = 1e-5

export const mjcfLaneForm: Draft = {
  id: 'mjcf-lane',
  title: 'MJCF: the whole lane',
  target: 'MuJoCo',
  equation: 'frictionloss = C_rr·m·g·cos θ and damping = k·m·rate on a slide joint along the lane',
  carriesSpeed: true,
  make: (ready) => {
    const mass_kg = ready.mass?.value ?? 1
    const dry = dragPerMass(ready)
    const viscous = viscousPerMass(ready)
    const dry_N = dry.value * mass_kg
    const viscous_N_s_m = (viscous?.value ?? 0) * mass_kg
    const scene = sceneOf(ready, {
      resistance: { kind: 'slide', dry_N, viscous_N_s_m },
      mass_kg,
      notes: [
        'The ball hangs on three slide joints along, across and off the lane and a ball joint: free in all six ways, but with',
        'the resistance as a force at its centre along the lane. Joint “along” counts the place along the lane.',
      ],
    })
    return {
      fields: [
        ...(ready.mass
          ? [measured('frictionloss', asForce(ready, dry, ready.mass))]
          : [chosen('frictionloss', dry_N, 'N')]),
        ...(viscous
          ? [
              ready.mass
                ? measured('damping', product(ready, 'N.s/m', [viscous, ready.mass]))
                : chosen('damping', viscous_N_s_m, 'N.s/m'),
            ]
          : []),
      ],
      kind: ready.f.slopes || !ready.mass ? 'limited' : 'valid',
      why: [
        'The force acts on the ball’s centre along the lane, so guide, heading and slope do not matter to it; the ball can stall.',
        ready.f.slopes ? slopesSentence : '',
        ready.mass
          ? ''
          : 'The mass of the ball is not known: 1 kg stands in the file. The motion does not depend on it, forces on other bodies do.',
        ready.law.drag_per_m > 0 ? 'The part of the air is left out of the file.' : '',
      ]
        .filter((part) => part !== '')
        .join(' '),
      text: [
        `<joint name="along" type="slide" axis="1 0 0" frictionloss="${digits(dry_N, 7)}" damping="${digits(viscous_N_s_m, 7)}"/>`,
        '<joint name="across" type="slide" axis="0 1 0"/>',
        '<joint name="off" type="slide" axis="0 0 1"/>',
        '<joint name="turn" type="ball"/>',
        '<!-- in the body of the ball, whose x axis lies along the lane; geoms without rolling friction (condim 3) -->',
      ].join('\n'),
      file: { name: `${fileStem(ready.f.name)}.mjcf.xml`, mime, text: mjcfLane(scene) },
    }
  },
}

export const mjcfFlat: Draft = {
  id: 'mjcf-flat',
  title: 'MJCF: flat lane with the guide’s inertia',
  target: 'MuJoCo',
  equation: 'I = (k − 1)·m·R² on a flat lane; rolling friction = C_rr·R',
  carriesSpeed: false,
  make: (ready) => {
    const mass_kg = ready.mass?.value ?? 1
    const b = leverArm(ready)
    const ratio = ready.k.value - 1
    const flat = rollingGeometry({ kind: 'flat' }, ready.body)
    if (flat.kind !== 'rides') throw new Error('a ball does not ride on the flat')
    const unit = unitFor(b.value)
    const scene = sceneOf(ready, {
      shape: { kind: 'flat' },
      geometry: flat,
      momentRatio: ratio,
      resistance: { kind: 'contact', rolling_m: b.value },
      mass_kg,
      unit,
      notes: [
        'The guide is replaced by a floor and the ball’s inertia by the one that makes it accelerate as in the guide. It may be',
        'turned to any heading. Its spin is that of a flat lane, slower than in the guide by r_e/R.',
      ],
    })
    return {
      fields: [measured('rolling friction', b), chosen('I/(m·R²)', ratio, '1')],
      kind: ready.f.slopes ? 'limited' : 'valid',
      why: `One contact stands for two: place and speed are right for any heading, and the ball can stall; its spin and the look of the guide are not.${ready.f.slopes ? ` ${slopesSentence}` : ''}${finePrint(b.value, unit)}`,
      text: [
        `<inertial pos="0 0 0" mass="${digits(mass_kg, 7)}" diaginertia="${`${digits(ratio * mass_kg * ready.body.radius_m ** 2, 7)} `.repeat(3).trim()}"/>`,
        `<geom type="sphere" size="${digits(ready.body.radius_m, 7)}" condim="6" friction="${digits(scene.friction, 3)} 0 ${digits(b.value, 7)}"/>`,
        '<!-- option cone="elliptic"; the lane’s geom with condim="6" and friction no greater -->',
      ].join('\n'),
      file: { name: `${fileStem(ready.f.name)}-flat.mjcf.xml`, mime, text: mjcfLane(scene) },
    }
  },
}

export const mjcfFriction: Draft = {
  id: 'mjcf-friction',
  title: 'MJCF: friction of the contact',
  target: 'MuJoCo',
  equation: 'friction = “slide torsion roll” with roll = C_rr·R in the file’s unit of length',
  carriesSpeed: false,
  make: (ready): Made => {
    if (ready.riding.contacts.length > 1)
      return {
        fields: [],
        kind: 'refused',
        why: twoContacts(ready.riding, 'the whole lane (slide joint) or the flat lane with the guide’s inertia'),
        text: null,
      }
    const b = leverArm(ready)
    const unit = unitFor(b.value)
    const scene = sceneOf(ready, {
      resistance: { kind: 'contact', rolling_m: b.value },
      mass_kg: ready.mass?.value ?? 1,
      unit,
      notes: ['Resistance is the third number of friction: a length. It needs condim 6 and the elliptic cone.'],
    })
    return {
      fields: [measured('rolling friction', b)],
      kind: ready.f.slopes ? 'limited' : 'valid',
      why: `On one contact it is right with condim 6 and the elliptic cone; the pyramidal one makes it too small. A pair of geoms takes the greater of their two values.${finePrint(b.value, unit)}`,
      text: [
        `<option cone="elliptic"/>`,
        `<geom type="sphere" size="${digits(ready.body.radius_m, 7)}" condim="6" friction="${digits(scene.friction, 3)} 0 ${digits(b.value, 7)}"/>`,
        '<!-- in metres; the lane’s geom with condim="6" and friction no greater -->',
      ].join('\n'),
      file: { name: `${fileStem(ready.f.name)}-contact.mjcf.xml`, mime, text: mjcfLane(scene) },
    }
  },
}

export const mjcfFrictionloss: Draft = {
  id: 'mjcf-frictionloss',
  title: 'MJCF: friction loss of a free joint',
  target: 'MuJoCo',
  equation: 'frictionloss = C_rr·m·g·cos θ/(1 + 1/r_e), numbers in SI',
  carriesSpeed: false,
  make: (ready): Made => {
    if (!ready.mass) return { fields: [], kind: 'refused', why: noMass('a friction loss in newtons'), text: null }
    const force = asForce(ready, dragPerMass(ready, ready.c), ready.mass)
    const share = 1 / (1 + 1 / ready.rollingRadius.value)
    const loss = product(ready, 'N', [force], share)
    const warning =
      'A free joint loses along each axis of the world and of the ball by itself: at 45° to them C_rr comes out 1.41 times too great, and on a tilted lane the fall counts once more. Use it for travel along a world axis with gravity tilted, or take the whole lane (slide joint).'
    if (leans(ready.riding))
      return {
        fields: [],
        kind: 'refused',
        why: 'The guide leans, so the ball turns about no axis of the world and a loss per axis comes out too great. Take the whole lane (slide joint) instead.',
        text: null,
      }
    const scene = sceneOf(ready, {
      resistance: { kind: 'free-joint', frictionloss: loss.value, damping: 0 },
      mass_kg: ready.mass.value,
      levelLane: true,
      notes: [
        'Gravity is tilted, not the lane: friction loss of a free joint holds only for travel along an axis of the world.',
      ],
    })
    const onAxis = Math.abs(maths.sin(2 * ready.options.heading_rad)) < 1e-9
    if (!onAxis)
      return {
        fields: [],
        kind: 'refused',
        why: `The lane does not lie along an axis of the world. ${warning}`,
        text: null,
      }
    return {
      fields: [measured('frictionloss', loss)],
      kind: 'limited',
      why: 'One number serves as newtons and newton metres on all six axes. It is right while the ball travels along an axis of the world from an unrotated start.',
      warning,
      text: `<joint type="free" frictionloss="${digits(loss.value, 7)}"/>`,
      file: { name: `${fileStem(ready.f.name)}-free-joint.mjcf.xml`, mime, text: mjcfLane(scene) },
    }
  },
}

export const mjcfDamping: Draft = {
  id: 'mjcf-damping',
  title: 'MJCF: damping of a free joint',
  target: 'MuJoCo',
  equation: 'damping = m·k·rate/(1 + 1/r_e²), numbers in SI',
  carriesSpeed: true,
  make: (ready): Made => {
    if (!ready.mass) return { fields: [], kind: 'refused', why: noMass('a damping in N·s/m'), text: null }
    const found = equalDamping(ready)
    if (!found)
      return {
        fields: [],
        kind: 'refused',
        why: 'No speed was measured at which a damping could be matched.',
        text: null,
      }
    const share = 1 / (1 + 1 / ready.rollingRadius.value ** 2)
    const damping = product(ready, 'N.s/m', [ready.mass, ready.k, found.rate], share)
    const scene = sceneOf(ready, {
      resistance: { kind: 'free-joint', frictionloss: 0, damping: damping.value },
      mass_kg: ready.mass.value,
      notes: ['Damping in place of rolling resistance, matched at one speed.'],
    })
    return {
      fields: [measured('damping', damping), chosen('v_ref', found.at_m_s, 'm/s')],
      kind: 'limited',
      why: `The same number on all six axes, so any heading serves. ${found.why}`,
      text: `<joint type="free" damping="${digits(damping.value, 7)}"/>`,
      file: { name: `${fileStem(ready.f.name)}-damping.mjcf.xml`, mime, text: mjcfLane(scene) },
    }
  },
}

const finePrint = (b_m: number, unit: 'm' | 'mm'): string =>
  unit === 'm'
    ? ''
    : ` At ${digits(b_m, 3)} m it comes near the least that the engine keeps (${digits(leastContact)} of the unit of length), so the file is in millimetres: model in millimetres too.`

/** Millimetres where the arm in metres would come within a factor of two of the least contact friction. */
const unitFor = (b_m: number): 'm' | 'mm' => (b_m >= 2 * leastContact ? 'm' : 'mm')

const leans = ({ contacts: [left, right] }: Rides): boolean =>
  left !== undefined && right !== undefined && Math.abs(left.height_m - right.height_m) > 1e-9

type SceneParts = Pick<LaneScene, 'resistance' | 'mass_kg' | 'notes'> & Partial<LaneScene>

function sceneOf({ f, body, riding, slope, c, law, k, options }: Ready, parts: SceneParts): LaneScene {
  const { length_m, start } = wayOf(f)
  const setting = { slope_rad: slope.value, g_m_s2: f.gravity.value }
  return {
    name: f.name,
    shape: f.shape,
    geometry: riding,
    body,
    slope_rad: slope.value,
    heading_rad: options.heading_rad,
    g_m_s2: f.gravity.value,
    length_m,
    start,
    friction: Number(Math.max(0.5, 2 * leastFriction(riding, setting, c.value)).toPrecision(2)),
    unit: 'm',
    ...parts,
    notes: [
      `${f.name}: ${f.ball} in a ${f.guide}.`,
      `C_rr = ${stated(c, '')}${law.rate ? `, of which ${stated(law.dry, '')} at rest, and ${stated(law.rate, 'per second')} of speed` : ''}; k = ${digits(k.value, 6)}.`,
      ...parts.notes,
      'Key frame “measured” sets the ball off at the entry with the measured speed, rolling. Sliding friction was not measured: it only has to grip.',
    ],
  }
}

/** Length and start along the travel: the lane line seen from where the ball comes. */
function wayOf({ series, travel, length_m }: Ready['f']): Pick<LaneScene, 'length_m' | 'start'> {
  const [from, to] = series?.speeds.covered_m ?? [0, 1]
  const length = length_m ?? to
  const along = (line_m: number) => (travel === 1 ? line_m : length - line_m)
  const entry = series?.entry
  return {
    length_m: length,
    start: entry
      ? { s_m: along(entry.at_m), v_m_s: Math.max(0, entry.filmed.value) }
      : { s_m: along(travel === 1 ? from : to), v_m_s: Math.max(0, series?.speedRange_m_s[0] ?? 0) },
  }
}
