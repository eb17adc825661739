import { momentRatio } from '../../physics/ball.ts'
import { asForce, dragPerMass, leverArm, product } from './amounts.ts'
import { chosen, measured, type Draft, type Made, type Ready } from './form-draft.ts'
import { fileStem } from './names.ts'
import { noMass, twoContacts } from './sentences.ts'
import { attribute, digits } from './xml.ts'

const mime = 'application/xml'
const isGuided = ({ riding }: Ready): boolean => riding.contacts.length > 1

/** Bullet limits the couple by steps: what the older engine makes of it at usual steps. Source: measured with a build of Bullet 2.8x (ammojs-typed 1.1.0). */
const bulletSteps =
  'Bullet reaches the full value at very short steps only (1/4000 s); at 1/240 s an older build gave less than half of it.'
const bulletRule =
  'Older Bullet multiplies the two bodies’ values; newer ones add each body’s rolling friction times the other’s sliding friction. A lane with sliding friction 1 and rolling friction 1 (older) or 0 (newer) leaves the ball’s value as it is.'

/** The ball as the formats describe it; in a guide with two contacts its own rolling friction is set to 0, since their defaults are not. */
function contactFriction(ready: Ready, engine: string): Made & { readonly rolling_m: number } {
  if (isGuided(ready))
    return {
      fields: [chosen('rolling_friction', 0, 'm')],
      kind: 'limited',
      why: `The file holds the ball with its rolling friction set to 0. It slows only if the drag at the centre is applied beside it (a force on the link, each step).`,
      warning: twoContacts(ready.riding, 'the drag at the centre'),
      text: null,
      rolling_m: 0,
    }
  const b = leverArm(ready)
  return {
    fields: [measured('rolling_friction', b)],
    kind: 'limited',
    why: `${engine} takes rolling friction as a length, b = C_rr·R. ${bulletSteps} ${bulletRule} Try the step you use against the measured time before you trust it.`,
    warning: 'The drag at the centre does not depend on the step.',
    text: null,
    rolling_m: b.value,
  }
}

export const sdformat: Draft = {
  id: 'sdformat',
  title: 'SDFormat',
  target: 'Gazebo and others that read SDF',
  equation:
    '<bullet><rolling_friction> = C_rr·R in metres (default 1); <torsional> is spin about the normal, without unit; <ode> has no rolling friction',
  carriesSpeed: false,
  make: (ready) => {
    const { rolling_m, ...made } = contactFriction(ready, 'The <bullet> block')
    const surface = `<surface>
  <friction>
    <torsional><coefficient>0</coefficient></torsional>
    <ode><mu>1</mu><mu2>1</mu2></ode>
    <bullet><friction>1</friction><friction2>1</friction2><rolling_friction>${digits(rolling_m, 6)}</rolling_friction></bullet>
  </friction>
</surface>`
    const { name, mass, inertia } = bodyOf(ready)
    const text = `<?xml version="1.0"?>
<sdf version="1.9">
  <model name="${attribute(name)}">
    <link name="ball">
      <inertial>
        <mass>${mass}</mass>
        <inertia><ixx>${inertia}</ixx><iyy>${inertia}</iyy><izz>${inertia}</izz><ixy>0</ixy><ixz>0</ixz><iyz>0</iyz></inertia>
      </inertial>
      <velocity_decay><linear>0</linear><angular>0</angular></velocity_decay>
      <collision name="ball">
        <geometry><sphere><radius>${digits(ready.body.radius_m, 7)}</radius></sphere></geometry>
${indent(surface, '        ')}
      </collision>
      <visual name="ball"><geometry><sphere><radius>${digits(ready.body.radius_m, 7)}</radius></sphere></geometry></visual>
    </link>
  </model>
</sdf>
`
    return {
      ...made,
      why: `${made.why} The ODE engine has no rolling friction in this format: with it, apply the drag at the centre.${massNote(ready)}`,
      text: surface,
      file: { name: `${fileStem(ready.f.name)}-ball.sdf`, mime, text },
    }
  },
}

export const urdf: Draft = {
  id: 'urdf',
  title: 'URDF',
  target: 'Bullet’s URDF reader',
  equation: '<contact><rolling_friction> = C_rr·R in metres',
  carriesSpeed: false,
  make: (ready) => {
    const { rolling_m, ...made } = contactFriction(ready, 'Bullet')
    const contact = `<contact>
  <lateral_friction value="1"/>
  <rolling_friction value="${digits(rolling_m, 6)}"/>
  <spinning_friction value="0"/>
</contact>`
    const { name, mass, inertia } = bodyOf(ready)
    const sphere = `<geometry><sphere radius="${digits(ready.body.radius_m, 7)}"/></geometry>`
    const text = `<?xml version="1.0"?>
<robot name="${attribute(name)}">
  <link name="ball">
${indent(contact, '    ')}
    <inertial>
      <mass value="${mass}"/>
      <inertia ixx="${inertia}" iyy="${inertia}" izz="${inertia}" ixy="0" ixz="0" iyz="0"/>
    </inertial>
    <collision>${sphere}</collision>
    <visual>${sphere}</visual>
  </link>
</robot>
`
    return {
      ...made,
      // 0.04: damping that Bullet gives to bodies made from URDF (from memory).
      why: `${made.why} Other readers of URDF ignore <contact>. Linear and angular damping of the body start from 0.04 there: set both to 0.${massNote(ready)}`,
      text: contact,
      file: { name: `${fileStem(ready.f.name)}-ball.urdf`, mime, text },
    }
  },
}

export const bullet: Draft = {
  id: 'bullet',
  title: 'Bullet',
  target: 'Bullet (setRollingFriction)',
  equation: 'rolling friction of the ball = C_rr·R in metres',
  carriesSpeed: false,
  make: (ready): Made => {
    if (isGuided(ready))
      return {
        fields: [],
        kind: 'refused',
        why: twoContacts(ready.riding, 'the drag at the centre (applyCentralForce)'),
        text: null,
      }
    const { rolling_m, ...made } = contactFriction(ready, 'Bullet')
    return {
      ...made,
      text: [
        `ball.setRollingFriction(${digits(rolling_m, 6)})`,
        'ball.setFriction(1)',
        'ball.setDamping(0, 0)',
        'lane.setFriction(1)',
        'lane.setRollingFriction(1)    // 0 where the engine adds instead of multiplying',
      ].join('\n'),
    }
  },
}

export const ode: Draft = {
  id: 'ode',
  title: 'ODE',
  target: 'ODE (dContactRolling)',
  equation: 'rho = C_rr·R·m·g·cos θ in N·m',
  carriesSpeed: false,
  make: (ready): Made => {
    if (isGuided(ready))
      return {
        fields: [],
        kind: 'refused',
        why: twoContacts(ready.riding, 'the drag at the centre (dBodyAddForce)'),
        text: null,
      }
    if (!ready.mass) return { fields: [], kind: 'refused', why: noMass('a couple in N·m'), text: null }
    const rho = product(ready, 'N.m', [asForce(ready, dragPerMass(ready, ready.c), ready.mass), ready.radius])
    return {
      fields: [measured('rho', rho)],
      kind: 'limited',
      why: 'rho is an absolute couple for this ball on this slope, as the engine’s source reads; it was not tried in the engine.',
      text: [
        'contact.surface.mode = dContactRolling;',
        `contact.surface.rho = contact.surface.rho2 = ${digits(rho.value, 6)};    // N·m`,
        'contact.surface.rhoN = 0;',
      ].join('\n'),
    }
  },
}

export const box2d: Draft = {
  id: 'box2d',
  title: 'Box2D',
  target: 'Box2D 3 (two dimensions, seen from the side)',
  equation: 'rollingResistance = C_rr; rotationalInertia = (k − 1)·m·R²',
  carriesSpeed: false,
  make: (ready): Made => {
    const ratio = ready.k.value - 1
    const mass = ready.mass?.value
    return {
      fields: [measured('rollingResistance', ready.c), chosen('I/(m·R²)', ratio, '1')],
      kind: 'limited',
      why: 'Seen from the side there are no grooves: a flat line with the inertia of the guide gives the measured acceleration. The engine multiplies by the greater radius of the two shapes, as its source reads; it was not tried in the engine.',
      warning: 'A circle there has I = ½·m·R² unless it is set.',
      text: [
        `shapeDef.material.rollingResistance = ${digits(ready.c.value, 6)}f;`,
        'b2MassData mass = b2Body_GetMassData(ball);',
        `mass.rotationalInertia = ${digits(ratio, 7)}f * mass.mass * ${digits(ready.body.radius_m, 7)}f * ${digits(ready.body.radius_m, 7)}f;`,
        `b2Body_SetMassData(ball, mass);${mass === undefined ? '' : `    // ball of ${digits(mass, 5)} kg`}`,
      ].join('\n'),
    }
  },
}

function bodyOf({ f, body, mass }: Ready) {
  const mass_kg = mass?.value ?? 1
  return {
    name: fileStem(f.name),
    mass: digits(mass_kg, 7),
    inertia: digits(momentRatio(body.hollow) * mass_kg * body.radius_m ** 2, 7),
  }
}

const massNote = ({ mass }: Ready): string =>
  mass ? '' : ' The mass of the ball is not known: 1 kg stands in the file. The motion does not depend on it.'

const indent = (text: string, by: string): string =>
  text
    .split('\n')
    .map((line) => by + line)
    .join('\n')
