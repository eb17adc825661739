import type { BallPose } from './ball-look.ts'
import { spotDirections } from './ball-look.ts'
import { inertiaFactor, rollingRadius } from './guide.ts'
import { integrate, resistanceAlong, type Motion } from './motion.ts'
import { buildPath, type LanePath } from './path.ts'
import { seeded } from './random.ts'
import type { BallSpec, LaneSpec, Scene } from './scene.ts'

/** One ball's way through the clip. */
export interface Passage {
  readonly ball: BallSpec
  readonly lane: LaneSpec
  readonly path: LanePath
  readonly motion: Motion
  readonly rolling_radius_m: number
  readonly k: number
  /** Whether the ball is on its lane at this time. */
  present(time_s: number): boolean
  pose(time_s: number): BallPose
}

export function passages(scene: Scene): Passage[] {
  const until = scene.time.frames / scene.time.capture_fps + 0.1
  return scene.balls.map((ball, index) => {
    const lane = scene.lanes.find(({ name }) => name === ball.lane)
    if (!lane) throw new Error(`ball ${ball.id} names lane ${ball.lane}, which the scene does not have`)
    const path = buildPath(lane.path)
    const k = inertiaFactor(lane.guide, ball.radius_m)
    const law = {
      slope_rad: (s: number) => path.slope_rad(s),
      resistance: resistanceAlong(lane.c0 + ball.run_c, lane.spots),
      k,
      tau_s: lane.tau_s,
    }
    const motion = integrate(law, ball.release_s, { s_m: ball.s0_m, v_m_s: ball.v0_m_s }, until)
    const rolling_radius_m = rollingRadius(lane.guide, ball.radius_m)
    const spin = lane.guide.kind === 'none' ? 0 : (ball.turning ?? 1) / rolling_radius_m
    const start = seeded(scene.seed * 131 + index)
    const angle0 = 2 * Math.PI * start.next()
    const paint = ball.surface.kind === 'matt' ? ball.surface.spots : undefined
    const spots = paint ? spotDirections(paint.count, 2 * Math.PI * start.next()) : []
    return {
      ball,
      lane,
      path,
      motion,
      rolling_radius_m,
      k,
      present(time) {
        if (time < ball.release_s && !ball.waits) return false
        const { s_m } = motion.at(time)
        return s_m > lane.built_m[0] - 0.05 && s_m < lane.built_m[1] + 0.05
      },
      pose(time) {
        const { s_m } = motion.at(time)
        const { point, tangent, up } = path.at(s_m)
        const angle = angle0 + (s_m - ball.s0_m) * spin
        return { centre: point, radius: ball.radius_m, tangent, up, angle, surface: ball.surface, spots }
      },
    }
  })
}
