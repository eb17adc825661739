import loadMujoco from '@mujoco/mujoco'
import type { BallBody, GuideShape } from '../../../workers/physics/shapes.ts'
import { rollingGeometry } from '../../../workers/physics/rolling-geometry.ts'

type Engine = Awaited<ReturnType<typeof loadMujoco>>
let engine: Promise<Engine> | undefined

/** The rigid-body engine, loaded once. It works in millimetres here, so that its own smallest lengths stay below the ball's. */
export function rigidBodyEngine(): Promise<Engine> {
  return (engine ??= loadMujoco())
}

export interface RollExperiment {
  readonly guide: GuideShape
  readonly ball: BallBody
  readonly slope_rad: number
  readonly g_m_s2: number
  readonly friction: number
  /** Speed and spin at the start; at rest where absent. */
  readonly start?: { readonly speed_m_s: number; readonly spin_rad_s: number }
  readonly duration_s: number
  /** The first part is left out: the ball settles into its contacts. */
  readonly settle_s: number
  readonly step_s: number
}

export interface RollResult {
  readonly acceleration_m_s2: number
  readonly speed_m_s: number
  /** Spin across the lane times rolling radius over speed: 1 for rolling without slip. */
  readonly rollingRatio: number
  /** Total normal force over m·g·cosθ at each contact, left to right, averaged over the second half. */
  readonly contactShares: readonly number[]
}

/** Lets the engine move a ball along a guide. It knows the shapes, masses, friction and gravity; nothing of rolling radii,
 *  inertia factors or closed forms. */
export async function rollInEngine(experiment: RollExperiment): Promise<RollResult> {
  const mujoco = await rigidBodyEngine()
  const model = mujoco.MjModel.from_xml_string(sceneOf(experiment))
  const data = new mujoco.MjData(model)
  const force = new mujoco.DoubleBuffer(6)
  try {
    const { start, step_s, duration_s, settle_s } = experiment
    // Asked for anew each time: the engine's memory may move when it grows.
    const speeds = (): Float64Array => data.qvel as Float64Array
    if (start !== undefined) {
      speeds()[0] = start.speed_m_s * 1000
      speeds()[4] = start.spin_rad_s
    }
    const steps = Math.round(duration_s / step_s)
    const settled = Math.round(settle_s / step_s)
    let settledSpeed = 0
    const shares = new Map<number, number>()
    const counted = Math.round(steps / 2)
    for (let i = 0; i < steps; i++) {
      if (i === settled) settledSpeed = speeds()[0]!
      mujoco.mj_step(model, data)
      if (i < steps - counted) continue
      for (let c = 0; c < data.ncon; c++) {
        mujoco.mj_contactForce(model, data, c, force)
        const contact = data.contact.get(c)
        if (contact === undefined) continue
        // Contacts are told apart by the guide's own body, numbered from left to right.
        const part = Math.min(contact.geom1, contact.geom2)
        shares.set(part, (shares.get(part) ?? 0) + force.GetView()[0]! / counted)
        contact.delete()
      }
    }
    const weight = MASS_KG * experiment.g_m_s2 * 1000 * Math.cos(experiment.slope_rad)
    const geometry = rollingGeometry(experiment.guide, experiment.ball)
    const radius_m = geometry.kind === 'rides' ? geometry.rollingRadius_m : NaN
    return {
      acceleration_m_s2: (speeds()[0]! - settledSpeed) / 1000 / ((steps - settled) * step_s),
      speed_m_s: speeds()[0]! / 1000,
      rollingRatio: (Math.hypot(speeds()[4]!, speeds()[5]!) * radius_m * 1000) / speeds()[0]!,
      contactShares: [...shares.entries()].sort(([a], [b]) => a - b).map(([, total]) => total / weight),
    }
  } finally {
    force.delete()
    data.delete()
    model.delete()
  }
}

const MASS_KG = 0.0168

function sceneOf({ guide, ball, slope_rad, g_m_s2, friction, step_s }: RollExperiment): string {
  const g = g_m_s2 * 1000
  const R = ball.radius_m * 1000
  const inertia = inertiaOf(ball)
  const { parts, centre } = partsOf(guide, R)
  return `<mujoco>
    <option timestep="${step_s}" gravity="${g * Math.sin(slope_rad)} 0 ${-g * Math.cos(slope_rad)}" cone="elliptic"
      solver="Newton" iterations="100" tolerance="1e-14" impratio="100"/>
    <default><geom friction="${friction} 0 0" condim="3" solref="-400000 -900" solimp="0.99 0.9999 0.001"/></default>
    <worldbody>${parts.join('')}
      <body pos="0 ${centre.join(' ')}"><freejoint/>
        <inertial pos="0 0 0" mass="${MASS_KG}" diaginertia="${inertia} ${inertia} ${inertia}"/>
        <geom type="sphere" size="${R}"/>
      </body>
    </worldbody></mujoco>`
}

/** Moment of inertia [kg mm²] as the difference of a full ball and the one that is missing inside. */
function inertiaOf({ radius_m, hollow = 0 }: BallBody): number {
  const outer = (radius_m * 1000) ** 3
  const inner = outer * hollow ** 3
  const density = MASS_KG / (outer - inner)
  return 0.4 * density * (outer * (radius_m * 1000) ** 2 - inner * (radius_m * 1000 * hollow) ** 2)
}

/** The guide as planes and bars [mm], left to right, and the place of the resting ball's centre. The direction of travel is
 *  x, up is z, so that right is −y. */
function partsOf(guide: GuideShape, R: number): { parts: string[]; centre: [number, number] } {
  const deg = (angle: number): number => (angle * 180) / Math.PI
  const plane = (tilt_rad: number): string => `<geom type="plane" size="0 0 1" euler="${deg(tilt_rad)} 0 0"/>`
  const bar = (y: number, radius: number): string =>
    `<geom type="capsule" size="${radius}" fromto="-200 ${y} 0 4000 ${y} 0"/>`
  switch (guide.kind) {
    case 'flat':
      return { parts: [plane(0)], centre: [0, R] }
    case 'v-groove': {
      const half = guide.included_rad / 2
      const roll = guide.roll_rad ?? 0
      const reach = R / Math.sin(half)
      return {
        parts: [plane(Math.PI / 2 - half - roll), plane(-(Math.PI / 2 - half) - roll)],
        centre: [reach * Math.sin(roll), reach * Math.cos(roll)],
      }
    }
    case 'unequal-v': {
      const half = (guide.left_rad + guide.right_rad) / 2
      const roll = (guide.left_rad - guide.right_rad) / 2
      return partsOf({ kind: 'v-groove', included_rad: 2 * half, roll_rad: roll }, R)
    }
    case 'two-rails': {
      const rail = guide.railRadius_m * 1000
      const half = (guide.centres_m * 1000) / 2
      return { parts: [bar(half, rail), bar(-half, rail)], centre: [0, Math.sqrt((R + rail) ** 2 - half ** 2)] }
    }
    case 'slot': {
      // An edge is a bar too thin to matter: 1 µm.
      const half = (guide.gap_m * 1000) / 2
      return { parts: [bar(half, 0.001), bar(-half, 0.001)], centre: [0, Math.sqrt((R + 0.001) ** 2 - half ** 2)] }
    }
    case 'channel':
    case 'typed':
      throw new Error(`No engine scene for a ${guide.kind}.`)
  }
}
