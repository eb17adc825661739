import * as maths from '../../elementary/maths.ts'
import { momentRatio } from '../../physics/ball.ts'
import type { Rides } from '../../physics/rolling-geometry.ts'
import type { BallBody, GuideShape } from '../../physics/shapes.ts'
import { guideParts, type GuidePart } from './guide-parts.ts'
import { attribute, comment, digits, vector } from './xml.ts'

/** How the resistance stands in an MJCF file. */
export type MjcfResistance =
  /** On a slide joint along the lane: dry force [N] and force per speed [N·s/m]. Holds for any heading, slope and guide. */
  | { readonly kind: 'slide'; readonly dry_N: number; readonly viscous_N_s_m: number }
  /** On all six axes of a free joint: one number for newtons and newton metres, along the axes of the world and of the ball. */
  | { readonly kind: 'free-joint'; readonly frictionloss: number; readonly damping: number }
  /** In the contact, as a length [m]. */
  | { readonly kind: 'contact'; readonly rolling_m: number }
  | { readonly kind: 'none' }

/** A straight lane with its ball, in numbers. Directions along the travel. */
export interface LaneScene {
  readonly name: string
  /** What a reader of the file should know, line by line. */
  readonly notes: readonly string[]
  readonly shape: GuideShape
  readonly geometry: Rides
  readonly body: BallBody
  readonly mass_kg: number
  /** Moment of inertia over m·R²; that of the ball where absent. */
  readonly momentRatio?: number
  readonly slope_rad: number
  /** Of the travel, from the world's x towards its y. */
  readonly heading_rad: number
  readonly g_m_s2: number
  readonly length_m: number
  /** Where the ball is set off, and how fast; it rolls from the first moment. */
  readonly start: { readonly s_m: number; readonly v_m_s: number }
  /** Coefficient of sliding friction; large enough for rolling without slip. */
  readonly friction: number
  readonly resistance: MjcfResistance
  /** Unit of length of the file. Contact friction below 1e-5 of it is lost. */
  readonly unit: 'm' | 'mm'
  /** Tilts gravity instead of the lane, so that the lane lies in the world's plane. */
  readonly levelLane?: boolean
}

/** Time step of the file [s]: ten steps within the softness of its contacts. */
const step_s = 2e-4

/**
 * The whole lane as an MJCF file: guide, ball, slope, gravity, resistance, and a key frame that sets the ball off. Kilograms and seconds with the unit of
 * length that is asked for. Contacts are hard: a resting ball sinks in by g/(4·10⁶ s⁻²), 2.5 µm.
 */
export function mjcfLane(scene: LaneScene): string {
  const { body, geometry, slope_rad, heading_rad, g_m_s2, resistance, mass_kg } = scene
  const per = scene.unit === 'mm' ? 1000 : 1
  const { parts, ball: centre } = guideParts(scene.shape, geometry, body)
  const tilt = scene.levelLane ? 0 : slope_rad
  const ahead = [maths.cos(tilt) * maths.cos(heading_rad), maths.cos(tilt) * maths.sin(heading_rad), -maths.sin(tilt)]
  const left = [-maths.sin(heading_rad), maths.cos(heading_rad), 0]
  const up = [maths.sin(tilt) * maths.cos(heading_rad), maths.sin(tilt) * maths.sin(heading_rad), maths.cos(tilt)]
  const gravity = scene.levelLane
    ? [0, 1, 2].map((i) => g_m_s2 * (maths.sin(slope_rad) * ahead[i]! - (i === 2 ? maths.cos(slope_rad) : 0)))
    : [0, 0, -g_m_s2]
  const place = (s_m: number): number[] =>
    [0, 1, 2].map((i) => per * (s_m * ahead[i]! + centre.left_m * left[i]! + centre.up_m * up[i]!))
  const inertia = (scene.momentRatio ?? momentRatio(body.hollow)) * mass_kg * (body.radius_m * per) ** 2
  const rolling = resistance.kind === 'contact' ? resistance.rolling_m * per : 0
  const condim = resistance.kind === 'contact' ? 6 : 3
  const axes = `xyaxes="${vector(...ahead, ...left)}"`
  const { s_m, v_m_s } = scene.start
  const spin_rad_s = v_m_s / geometry.rollingRadius_m
  const isFree = resistance.kind === 'contact' || resistance.kind === 'free-joint'
  // A free joint counts speeds along the world and turns along the ball; slide and ball joints count along the lane.
  const start = isFree ? place(s_m) : [s_m * per, 0, 0]
  // The key frame of a free joint sets the body's attitude too: unrotated for a lane along the world's axes.
  const pose = isFree
    ? [...start, maths.cos(heading_rad / 2), 0, 0, maths.sin(heading_rad / 2)]
    : [...start, 1, 0, 0, 0]
  const speed = isFree ? ahead.map((part) => part * v_m_s * per) : [v_m_s * per, 0, 0]
  const turned = isFree && resistance.kind === 'free-joint' ? [1, 0, 0, 0] : null
  const attitude = turned ?? pose.slice(3)
  const [across, off] = rollingAxis(geometry).map((part) => part * spin_rad_s) as [number, number]
  const spin = turned ? [0, 1, 2].map((i) => across * left[i]! + off * up[i]!) : [0, across, off]
  return `<mujoco model="${attribute(scene.name)}">
${comment([...scene.notes, `Units: ${scene.unit}, kg, s, radian.`], '  ')}
  <compiler angle="radian" autolimits="true"/>
  <option timestep="${digits(step_s)}" gravity="${vector(...gravity.map((part) => part * per))}" cone="elliptic" impratio="100" solver="Newton" iterations="100" tolerance="1e-14"/>
  <default>
    <geom condim="${condim}" friction="${vector(scene.friction, 0, rolling)}" solref="-4000000 -4000" solimp="0.99 0.9999 ${vector(0.001 * 1e-3 * per)}"/>
  </default>
  <worldbody>
    <light pos="${vector(0, 0, per)}" dir="0 0 -1"/>
    <body name="lane" ${axes}>
${parts.map((part) => `      ${geomOf(part, scene, per)}`).join('\n')}
      <site name="start" pos="${vector(0, centre.left_m * per, centre.up_m * per)}" size="${digits(0.0005 * per)}"/>
      <site name="end" pos="${vector(scene.length_m * per, centre.left_m * per, centre.up_m * per)}" size="${digits(0.0005 * per)}"/>
    </body>
    <body name="ball" pos="${vector(...place(0))}"${isFree ? '' : ` ${axes}`}>
${joints(resistance, per)}
      <inertial pos="0 0 0" mass="${digits(mass_kg)}" diaginertia="${vector(inertia, inertia, inertia)}"/>
      <geom name="ball" type="sphere" size="${digits(body.radius_m * per)}" rgba="0.75 0.75 0.8 1"/>
    </body>
  </worldbody>
  <keyframe>
    <key name="measured" qpos="${vector(...pose.slice(0, 3), ...attitude)}" qvel="${vector(...speed, ...spin)}"/>
  </keyframe>
</mujoco>
`
}

/** Direction of the axis of rotation: parallel to the line from the right contact to the left one, as parts to the left and up. */
function rollingAxis({ contacts: [left, right] }: Rides): [number, number] {
  if (!left || !right) return [1, 0]
  const [across, up] = [right.lateral_m - left.lateral_m, left.height_m - right.height_m]
  const length = maths.hypot(across, up)
  return [across / length, up / length]
}

function joints(resistance: MjcfResistance, per: number): string {
  if (resistance.kind === 'contact') return '      <freejoint name="ball"/>'
  if (resistance.kind === 'free-joint') {
    const { frictionloss, damping } = resistance
    return `      <joint name="ball" type="free" frictionloss="${digits(frictionloss)}" damping="${digits(damping)}"/>`
  }
  const [dry, viscous] = resistance.kind === 'slide' ? [resistance.dry_N * per, resistance.viscous_N_s_m] : [0, 0]
  return [
    `      <joint name="along" type="slide" axis="1 0 0" frictionloss="${digits(dry)}" damping="${digits(viscous)}" solimpfriction="0.9999 0.9999 ${vector(0.001)}"/>`,
    '      <joint name="across" type="slide" axis="0 1 0"/>',
    '      <joint name="off" type="slide" axis="0 0 1"/>',
    '      <joint name="turn" type="ball"/>',
  ].join('\n')
}

function geomOf(part: GuidePart, { length_m, body }: LaneScene, per: number): string {
  // Enough before the start that a ball may be put there.
  const from = -4 * body.radius_m * per
  const to = length_m * per
  const { left_m, up_m } = part.centre
  const name = `name="${part.name}" rgba="0.7 0.55 0.4 1"`
  if (part.kind === 'bar') {
    const at = vector(left_m * per, up_m * per)
    return `<geom ${name} type="capsule" size="${digits(part.radius_m * per)}" fromto="${vector(from)} ${at} ${vector(to)} ${at}"/>`
  }
  const size = vector((to - from) / 2, part.halfWidth_m * per, part.halfThickness_m * per)
  const pos = vector((from + to) / 2, left_m * per, up_m * per)
  return `<geom ${name} type="box" size="${size}" pos="${pos}" xyaxes="${vector(1, 0, 0, 0, part.along.left_m, part.along.up_m)}"/>`
}
