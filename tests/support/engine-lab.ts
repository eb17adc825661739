import RAPIER from '@dimforge/rapier3d-compat'
import * as CANNON from 'cannon-es'
import { guideParts, type GuidePart, type LaneFriction } from '../../workers/handover/simulators/index.ts'
import { rigidBodyEngine } from '../reference/support/rigid-body.ts'

// Sources: MuJoCo 3.14 (@mujoco/mujoco), Rapier 0.21 (@dimforge/rapier3d-compat) and cannon-es 0.20, three independent rigid-body engines. They are given
// shapes, masses, friction and what the tool hands over, and nothing of rolling radii, inertia factors or closed forms.

/** From the entry to the exit of a lane. */
export interface Passage {
  readonly time_s: number
  /** (v₁² − v₀²)/2L from a tenth of the way on, where the ball has settled into its contacts [m/s²]. */
  readonly acceleration_m_s2: number
}

/** A ball set off in an engine: how far it is from its start, and how fast, after each step. */
export interface Rolling {
  readonly step_s: number
  readonly step: () => void
  readonly way_m: () => number
  readonly speed_m_s: () => number
  readonly close: () => void
}

const longest_s = 60

/** Where a ball comes to rest: how far on, and how far it still goes in the second after [m]. */
export interface Stall {
  readonly way_m: number
  readonly creep_m: number
}

/** Steps until the ball is slower than a tenth of a millimetre a second, and one second more; null where it is not within `patience_s`. */
export function stall(rolling: Rolling, patience_s: number): Stall | null {
  const { step_s } = rolling
  for (let i = 1; i * step_s < patience_s; i++) {
    rolling.step()
    if (rolling.speed_m_s() > 1e-4) continue
    const way_m = rolling.way_m()
    for (let j = 0; j * step_s < 1; j++) rolling.step()
    return { way_m, creep_m: Math.abs(rolling.way_m() - way_m) }
  }
  return null
}

/** Steps until the ball is `length_m` on; null where it does not get there. */
export function passage(rolling: Rolling, length_m: number): Passage | null {
  const { step_s } = rolling
  let [way, before] = [0, 0]
  let settled: { readonly way: number; readonly square: number } | null = null
  for (let i = 1; i * step_s < longest_s; i++) {
    rolling.step()
    before = way
    way = rolling.way_m()
    if (!settled && way >= 0.1 * length_m) settled = { way, square: rolling.speed_m_s() ** 2 }
    if (way < length_m) continue
    if (!settled) return null
    return {
      time_s: (i - (way - length_m) / (way - before)) * step_s,
      acceleration_m_s2: (rolling.speed_m_s() ** 2 - settled.square) / (2 * (way - settled.way)),
    }
  }
  return null
}

/** Loads an MJCF file as it was handed over, sets the ball off by its key frame and lets it roll. */
export async function rollMjcf(xml: string): Promise<Rolling> {
  const mujoco = await rigidBodyEngine()
  const model = mujoco.MjModel.from_xml_string(xml)
  const data = new mujoco.MjData(model)
  mujoco.mj_resetDataKeyframe(model, data, 0)
  const per = xml.includes('Units: mm') ? 1000 : 1
  // Asked for anew each time: the engine's memory may move when it grows.
  const place = () => Array.from((data.qpos as Float64Array).subarray(0, 3))
  const start = place()
  return {
    step_s: Number(/timestep="([^"]+)"/.exec(xml)![1]),
    step: () => mujoco.mj_step(model, data),
    way_m: () => Math.hypot(...place().map((x, i) => x - start[i]!)) / per,
    speed_m_s: () => Math.hypot(...(data.qvel as Float64Array).subarray(0, 3)) / per,
    close: () => {
      data.delete()
      model.delete()
    },
  }
}

type Vector = readonly [number, number, number]

/** Direction of travel, to its left, and off the lane, in a world whose z points up. */
function axesOf(slope_rad: number, heading_rad: number): readonly [Vector, Vector, Vector] {
  const [c, s, ch, sh] = [Math.cos(slope_rad), Math.sin(slope_rad), Math.cos(heading_rad), Math.sin(heading_rad)]
  return [
    [c * ch, c * sh, -s],
    [-sh, ch, 0],
    [s * ch, s * sh, c],
  ]
}

/** Quaternion of a rotation that takes x, y, z to three axes. */
function quaternion([[a, d, g], [b, e, h], [c, f, i]]: readonly [Vector, Vector, Vector]) {
  const w = Math.sqrt(Math.max(0, 1 + a + e + i)) / 2
  const x = Math.sign(h - f || 1) * (Math.sqrt(Math.max(0, 1 + a - e - i)) / 2)
  const y = Math.sign(c - g || 1) * (Math.sqrt(Math.max(0, 1 - a + e - i)) / 2)
  const z = Math.sign(d - b || 1) * (Math.sqrt(Math.max(0, 1 - a - e + i)) / 2)
  return { x, y, z, w }
}

/** What moves the ball besides gravity and contacts. */
export type Resisting =
  /** The module that was handed over for the engine. */
  | { readonly kind: 'module'; readonly text: string }
  | { readonly kind: 'couple'; readonly torque_N_m: number }
  | { readonly kind: 'damping'; readonly value: number }

export interface Launch {
  readonly friction: LaneFriction
  readonly heading_rad: number
  readonly speed_m_s: number
  readonly length_m: number
  readonly resisting: Resisting
}

interface Placed {
  readonly axes: readonly [Vector, Vector, Vector]
  readonly parts: readonly GuidePart[]
  readonly start: Vector
  readonly velocity: Vector
  readonly spin: Vector
  readonly radius_m: number
  readonly mass_kg: number
}

function placed({ friction, heading_rad, speed_m_s }: Launch): Placed {
  const { riding, body, shape, slope, mass } = friction
  if (riding?.kind !== 'rides' || !body || !slope || !mass) throw new Error('a lane without numbers cannot be built')
  const axes = axesOf(slope.value, heading_rad)
  const { parts, ball } = guideParts(shape, riding, body)
  const [ahead, left, up] = axes
  const spin = speed_m_s / riding.rollingRadius_m
  return {
    axes,
    parts,
    start: [0, 1, 2].map((i) => ball.left_m * left[i]! + ball.up_m * up[i]!) as unknown as Vector,
    velocity: ahead.map((x) => x * speed_m_s) as unknown as Vector,
    spin: left.map((x) => x * spin) as unknown as Vector,
    radius_m: body.radius_m,
    mass_kg: mass.value,
  }
}

interface ResistModule {
  readonly prepare: (body: unknown) => void
  readonly resist: (body: unknown, dt: number) => void
  readonly ballCollider: (engine: unknown) => RAPIER.ColliderDesc
}

const load = (text: string) =>
  import(/* @vite-ignore */ `data:text/javascript,${encodeURIComponent(text)}`) as Promise<ResistModule>

const alongLane = (from: Vector, to: { x: number; y: number; z: number }): number =>
  Math.hypot(to.x - from[0], to.y - from[1], to.z - from[2])

/** Rapier 0.21 in metres, 2 000 steps a second. */
export async function rollRapier(launch: Launch): Promise<Rolling> {
  await RAPIER.init()
  const { axes, parts, start, velocity, spin, radius_m, mass_kg } = placed(launch)
  const world = new RAPIER.World({ x: 0, y: 0, z: -launch.friction.gravity.value })
  const step_s = 1 / 2000
  world.timestep = step_s
  // The engine's own tolerances are lengths: a thousandth of this.
  world.integrationParameters.lengthUnit = radius_m
  world.integrationParameters.numSolverIterations = 8
  const lane = world.createRigidBody(RAPIER.RigidBodyDesc.fixed().setRotation(quaternion(axes)))
  const half = (launch.length_m + 0.2) / 2
  for (const part of parts) {
    const { left_m, up_m } = part.centre
    const at = { x: half - 0.1, y: left_m, z: up_m }
    if (part.kind === 'bar') {
      // A capsule stands along y: laid along x.
      const shape = RAPIER.ColliderDesc.capsule(half, part.radius_m).setRotation({
        x: 0,
        y: 0,
        z: -Math.SQRT1_2,
        w: Math.SQRT1_2,
      })
      world.createCollider(shape.setTranslation(at.x, at.y, at.z).setFriction(1), lane)
    } else {
      const angle = Math.atan2(part.along.up_m, part.along.left_m)
      const turn = { x: Math.sin(angle / 2), y: 0, z: 0, w: Math.cos(angle / 2) }
      const shape = RAPIER.ColliderDesc.cuboid(half, part.halfWidth_m, part.halfThickness_m).setRotation(turn)
      world.createCollider(shape.setTranslation(at.x, at.y, at.z).setFriction(1), lane)
    }
  }
  const body = world.createRigidBody(
    RAPIER.RigidBodyDesc.dynamic()
      .setTranslation(...start)
      .setLinvel(...velocity)
      .setAngvel({ x: spin[0], y: spin[1], z: spin[2] })
      .setCanSleep(false),
  )
  const { resisting } = launch
  const handed = resisting.kind === 'module' ? await load(resisting.text) : null
  const inertia = 0.4 * mass_kg * radius_m ** 2
  const collider =
    handed?.ballCollider(RAPIER) ??
    RAPIER.ColliderDesc.ball(radius_m)
      .setMassProperties(
        mass_kg,
        { x: 0, y: 0, z: 0 },
        { x: inertia, y: inertia, z: inertia },
        { x: 0, y: 0, z: 0, w: 1 },
      )
      .setFriction(1)
  world.createCollider(collider, body)
  handed?.prepare(body)
  if (resisting.kind === 'damping') {
    body.setLinearDamping(resisting.value)
    body.setAngularDamping(resisting.value)
  }
  const step = () => {
    handed?.resist(body, step_s)
    if (resisting.kind === 'couple') {
      const w = body.angvel()
      const share = (-resisting.torque_N_m * step_s) / Math.hypot(w.x, w.y, w.z)
      body.applyTorqueImpulse({ x: w.x * share, y: w.y * share, z: w.z * share }, true)
    }
    world.step()
  }
  const speed = () => {
    const v = body.linvel()
    return Math.hypot(v.x, v.y, v.z)
  }
  return {
    step_s,
    step,
    way_m: () => alongLane(start, body.translation()),
    speed_m_s: speed,
    close: () => world.free(),
  }
}

/** cannon-es 0.20 in metres, 2 000 steps a second; walls are planes, so that only flat lanes and grooves can be built. */
export async function rollCannon(launch: Launch): Promise<Rolling> {
  const { axes, parts, start, velocity, spin, radius_m, mass_kg } = placed(launch)
  const step_s = 1 / 2000
  const world = new CANNON.World({ gravity: new CANNON.Vec3(0, 0, -launch.friction.gravity.value) })
  const solver = new CANNON.GSSolver()
  solver.iterations = 100
  solver.tolerance = 1e-12
  world.solver = solver
  const material = new CANNON.Material()
  world.addContactMaterial(
    new CANNON.ContactMaterial(material, material, {
      friction: 1,
      restitution: 0,
      contactEquationStiffness: 1e7,
      contactEquationRelaxation: 4,
      frictionEquationStiffness: 1e9,
      frictionEquationRelaxation: 3,
    }),
  )
  for (const part of parts) {
    if (part.kind === 'bar') throw new Error('this engine has no bars to roll on')
    const { along, centre, halfThickness_m } = part
    const normal: Vector = [0, 1, 2].map(
      (i) => -along.up_m * axes[1][i]! + along.left_m * axes[2][i]!,
    ) as unknown as Vector
    const width: Vector = [0, 1, 2].map(
      (i) => along.left_m * axes[1][i]! + along.up_m * axes[2][i]!,
    ) as unknown as Vector
    const at = [0, 1, 2].map(
      (i) => centre.left_m * axes[1][i]! + centre.up_m * axes[2][i]! + halfThickness_m * normal[i]!,
    )
    const { x, y, z, w } = quaternion([axes[0], width, normal])
    const wall = new CANNON.Body({ mass: 0, material, shape: new CANNON.Plane() })
    wall.position.set(at[0]!, at[1]!, at[2]!)
    wall.quaternion.set(x, y, z, w)
    world.addBody(wall)
  }
  const body = new CANNON.Body({ mass: mass_kg, material, shape: new CANNON.Sphere(radius_m), allowSleep: false })
  body.position.set(...start)
  body.velocity.set(...velocity)
  body.angularVelocity.set(...spin)
  world.addBody(body)
  const { resisting } = launch
  if (resisting.kind === 'couple') throw new Error('not tried here')
  const handed = resisting.kind === 'module' ? await load(resisting.text) : null
  if (handed) handed.prepare(body)
  if (resisting.kind === 'damping') {
    body.linearDamping = body.angularDamping = resisting.value
    const inertia = 0.4 * mass_kg * radius_m ** 2
    body.inertia.set(inertia, inertia, inertia)
    body.invInertia.set(1 / inertia, 1 / inertia, 1 / inertia)
    body.updateInertiaWorld(true)
  }
  const step = () => {
    handed?.resist(body, step_s)
    world.step(step_s)
  }
  return {
    step_s,
    step,
    way_m: () => alongLane(start, body.position),
    speed_m_s: () => body.velocity.length(),
    close: () => undefined,
  }
}
