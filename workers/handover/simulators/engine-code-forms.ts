import { momentRatio } from '../../physics/ball.ts'
import { dragPerMass, viscousPerMass } from './amounts.ts'
import { chosen, measured, type Draft, type Made, type Ready } from './form-draft.ts'
import { fileStem } from './names.ts'
import { leavesContactAlone } from './sentences.ts'
import { digits } from './xml.ts'

const mime = 'text/javascript'

export const rapier: Draft = {
  id: 'rapier',
  title: 'Rapier',
  target: 'Rapier (JavaScript; the Rust calls have the same names)',
  equation: 'impulse = −m·(C_rr·g·cos θ + k·rate·|v|)·dt·v/|v|, before every step',
  carriesSpeed: true,
  make: (ready) =>
    moduleOf(ready, 'rapier', (v) => [
      '/** Shape, mass and inertia of the ball. */',
      'export function ballCollider(RAPIER) {',
      '  return RAPIER.ColliderDesc.ball(radius_m)',
      '    .setMassProperties(mass_kg, { x: 0, y: 0, z: 0 }, { x: inertia, y: inertia, z: inertia }, { x: 0, y: 0, z: 0, w: 1 })',
      '    .setFriction(1)',
      '}',
      '',
      '/** Once: the engine’s own damping would count twice. */',
      'export function prepare(body) {',
      '  body.setLinearDamping(0)',
      '  body.setAngularDamping(0)',
      '}',
      '',
      '/** Before every world.step(): resistance of the lane over the step dt [s]. */',
      'export function resist(body, dt) {',
      '  const v = body.linvel()',
      '  const speed = Math.hypot(v.x, v.y, v.z)',
      '  if (speed === 0) return',
      ...v.impulse,
      '  body.applyImpulse({ x: -v.x * share, y: -v.y * share, z: -v.z * share }, true)',
      '}',
    ]),
}

export const cannon: Draft = {
  id: 'cannon-es',
  title: 'cannon-es',
  target: 'cannon-es',
  equation: 'F = −m·(C_rr·g·cos θ + k·rate·|v|)·v/|v|, before every step; I = (2/5)·m·R² set by hand',
  carriesSpeed: true,
  make: (ready) =>
    moduleOf(ready, 'cannon', (v) => [
      '/** After world.addBody(body): the engine takes the inertia of the box around the ball, and damps by 0.01, unless told otherwise. */',
      'export function prepare(body) {',
      '  body.linearDamping = 0',
      '  body.angularDamping = 0',
      '  body.inertia.set(inertia, inertia, inertia)',
      '  body.invInertia.set(1 / inertia, 1 / inertia, 1 / inertia)',
      '  body.updateInertiaWorld(true)',
      '}',
      '',
      '/** Before every world.step(dt): resistance of the lane. In a “preStep” listener it would come too late for the contacts. */',
      'export function resist(body, dt) {',
      '  const v = body.velocity',
      '  const speed = v.length()',
      '  if (speed === 0) return',
      ...v.impulse,
      '  body.force.x -= (v.x * share) / dt',
      '  body.force.y -= (v.y * share) / dt',
      '  body.force.z -= (v.z * share) / dt',
      '}',
    ]),
}

/** A module of plain JavaScript; what the engine is asked for is told by `lines`. */
function moduleOf(ready: Ready, engine: string, lines: (v: { readonly impulse: readonly string[] }) => string[]): Made {
  const { f, mass, k, body, law } = ready
  const mass_kg = mass?.value ?? 1
  const dry = dragPerMass(ready)
  const viscous = viscousPerMass(ready)
  const square = k.value * law.drag_per_m
  const drag = ['dry', viscous ? 'viscous * speed' : '', square > 0 ? 'square * speed * speed' : ''].filter(
    (part) => part !== '',
  )
  const text = [
    `// ${f.name}: ${f.ball}, ${f.guide}. Units: m, kg, s. Slope the lane as it was measured (${digits((ready.slope.value * 180) / Math.PI, 5)}°).`.replace(
      /\s+/g,
      ' ',
    ),
    `export const radius_m = ${digits(body.radius_m)}`,
    `export const mass_kg = ${digits(mass_kg)}${mass ? '' : ' // not known; the motion does not depend on it'}`,
    `const inertia = ${digits(momentRatio(body.hollow) * mass_kg * body.radius_m ** 2)} // kg m²`,
    `const k = ${digits(k.value)} // 1 + I/(m r_e²)`,
    `const dry = ${digits(dry.value)} // m/s², C_rr g cos θ`,
    ...(viscous ? [`const viscous = ${digits(viscous.value)} // 1/s, k·rate`] : []),
    ...(square > 0 ? [`const square = ${digits(square)} // 1/m, air`] : []),
    '',
    ...lines({
      impulse: [
        '  // Never more than brings the ball to rest in this step.',
        `  const share = (mass_kg * Math.min((${drag.join(' + ')}) * dt, k * speed)) / speed`,
      ],
    }),
    '',
  ].join('\n')
  return {
    fields: [
      measured('dry drag per mass', dry),
      ...(viscous ? [measured('drag per mass and speed', viscous)] : []),
      chosen('k', k.value, '1'),
    ],
    kind: 'valid',
    why: `The engine has no rolling friction of its own; the drag at the centre stands in for it in any guide and direction, and can stall the ball. ${leavesContactAlone}${mass ? '' : ' The mass of the ball is not known: 1 kg stands in the file.'}`,
    text,
    file: { name: `${fileStem(f.name)}-${engine}.mjs`, mime, text },
  }
}
