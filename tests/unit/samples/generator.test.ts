import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { buildCamera, turned } from '../../../samples/generator/camera.ts'
import { inertiaFactor, profile, rollingRadius, type Guide } from '../../../samples/generator/guide.ts'
import { acceleration, integrate, resistanceAlong, standardGravity } from '../../../samples/generator/motion.ts'
import { litShare } from '../../../samples/generator/movers.ts'
import { outlineOf } from '../../../samples/generator/outline.ts'
import { passages } from '../../../samples/generator/passages.ts'
import { acrossOf, buildPath } from '../../../samples/generator/path.ts'
import { seeded, standardised } from '../../../samples/generator/random.ts'
import { dot, length, subtract, type Vec3 } from '../../../samples/generator/vector.ts'
import { testScenes } from '../../../samples/scenes.ts'

const image = { width: 1280, height: 720 }

describe('camera', () => {
  test('projects a point straight ahead into the middle and others by similar triangles', () => {
    const camera = buildCamera(
      { position_m: [0, -2, 0], yaw_deg: 0, pitch_deg: 0, roll_deg: 0, focal_px: 1000, k1: 0 },
      image,
    )
    expect(camera.project([0, 5, 0])).toEqual([640, 360])
    const [x, y] = camera.project([0.1, 0, 0.05])
    expect(x).toBeCloseTo(640 + (1000 * 0.1) / 2, 9)
    expect(y).toBeCloseTo(360 - (1000 * 0.05) / 2, 9)
  })

  test('turning right moves things left, tilting down moves them up, rolling clockwise turns them the other way', () => {
    const at = (yaw_deg: number, pitch_deg: number, roll_deg: number): readonly [number, number] =>
      buildCamera({ position_m: [0, -1, 0], yaw_deg, pitch_deg, roll_deg, focal_px: 1000, k1: 0 }, image).project([
        0, 0, 0,
      ])
    expect(at(5, 0, 0)[0]).toBeCloseTo(640 - 1000 * Math.tan((5 * Math.PI) / 180), 6)
    expect(at(0, 8, 0)[1]).toBeCloseTo(360 - 1000 * Math.tan((8 * Math.PI) / 180), 6)
    const rolled = buildCamera(
      { position_m: [0, -1, 0], yaw_deg: 0, pitch_deg: 0, roll_deg: 90, focal_px: 1000, k1: 0 },
      image,
    ).project([0.1, 0, 0])
    expect(rolled[0]).toBeCloseTo(640, 6)
    expect(rolled[1]).toBeCloseTo(260, 6)
  })

  test('agrees with the projection of the independent renderer on its own scale bar', () => {
    // Camera, bar and picture positions as written in tests/data/clips/a_single_v.truth.json.
    const camera = buildCamera(
      {
        position_m: [0.33, -1.1, 0.34],
        yaw_deg: 0,
        pitch_deg: (Math.asin(0.13953068268240312) * 180) / Math.PI,
        roll_deg: 0,
        focal_px: 2000,
        k1: 0,
      },
      image,
    )
    const [x, y] = camera.project([0.19, 0, 0.105])
    expect(x).toBeCloseTo(390.4521, 3)
    expect(y).toBeCloseTo(501.2038, 3)
  })

  test('finds back the direction of any point it shows, distortion included', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -0.25, max: 0.25, noNaN: true }),
        fc.double({ min: -0.35, max: 0.35, noNaN: true }),
        fc.double({ min: -0.2, max: 0.2, noNaN: true }),
        (k1, x, z) => {
          const camera = buildCamera(
            { position_m: [0, -1, 0], yaw_deg: 0, pitch_deg: 0, roll_deg: 0, focal_px: 1000, k1 },
            image,
          )
          const [X, Y] = camera.unproject(...camera.project([x, 0, z]))
          expect(X).toBeCloseTo(x, 9)
          expect(Y).toBeCloseTo(-z, 9)
        },
      ),
      { seed: 11 },
    )
  })

  test('shake turns the camera in place and keeps its axes square', () => {
    const camera = buildCamera(
      { position_m: [0.3, -1, 0.4], yaw_deg: 3, pitch_deg: 7, roll_deg: 1, focal_px: 1000, k1: 0 },
      image,
    )
    const moved = turned(camera, [0.002, -0.003, 0.001], image)
    expect(moved.position).toEqual(camera.position)
    for (const axis of moved.axes) expect(length(axis)).toBeCloseTo(1, 12)
    expect(dot(moved.axes[0], moved.axes[1])).toBeCloseTo(0, 12)
    expect(dot(moved.axes[0], moved.axes[2])).toBeCloseTo(0, 12)
    const far: Vec3 = [0.32, 0, 0.28]
    const [x0, y0] = camera.project(far)
    const [x1, y1] = moved.project(far)
    expect(Math.hypot(x1 - x0, y1 - y0)).toBeGreaterThan(2)
  })
})

describe('outline of a ball', () => {
  test('is centred on the axis and of radius f R / sqrt(D² − R²) when seen straight on', () => {
    // Source: cone of sight touching a sphere; sin of its half-angle is R / D.
    const camera = buildCamera(
      { position_m: [0, -1, 0], yaw_deg: 0, pitch_deg: 0, roll_deg: 0, focal_px: 2000, k1: 0 },
      image,
    )
    const outline = outlineOf(camera, [0, 0, 0], 0.01)
    expect(outline.x).toBeCloseTo(640, 8)
    expect(outline.y).toBeCloseTo(360, 8)
    expect(outline.radius).toBeCloseTo((2000 * 0.01) / Math.sqrt(1 - 0.01 ** 2), 6)
  })

  test('lies farther out than the projected centre for a ball off the axis', () => {
    const camera = buildCamera(
      { position_m: [0, -1, 0], yaw_deg: 0, pitch_deg: 0, roll_deg: 0, focal_px: 2000, k1: 0 },
      image,
    )
    const [x] = camera.project([0.3, 0, 0])
    const outline = outlineOf(camera, [0.3, 0, 0], 0.01)
    // x (1 + sin²) to first order: the ellipse's centre is at X / (1 − R² / D²) for a plane square to the axis.
    expect(outline.x - 640).toBeCloseTo((x - 640) / (1 - 0.01 ** 2), 3)
  })
})

describe('guides', () => {
  const v90: Guide = { kind: 'v', included_deg: 90, rim: -0.5, lip_m: 0.004, floor_m: 0.01 }

  test('a V-groove gives r_e = R sin α and k = 1 + 0.4 / sin² α', () => {
    // Source: geometry of two-point contact; 16 mm ball in 90° gives 5.6569 mm and 1.8.
    expect(rollingRadius(v90, 0.008)).toBeCloseTo(0.0056569, 7)
    expect(inertiaFactor(v90, 0.008)).toBeCloseTo(1.8, 12)
  })

  test('two rods give r_e = R sqrt(1 − (D / 2(R + ρ))²)', () => {
    const rods: Guide = { kind: 'rods', rod_radius_m: 0.002, apart_m: 0.01 }
    expect(rollingRadius(rods, 0.008)).toBeCloseTo(0.0069282, 7)
    expect(inertiaFactor(rods, 0.008)).toBeCloseTo(1.53333, 5)
  })

  test('the walls of the drawn groove touch the ball', () => {
    const R = 0.008
    const chain = profile(v90, R)
    const [rimX, rimY] = chain[2]!
    const [apexX, apexY] = chain[3]!
    const distance = Math.abs(apexX * rimY - rimX * apexY) / Math.hypot(rimX - apexX, rimY - apexY)
    expect(distance).toBeCloseTo(R, 9)
  })

  test('refuses a groove too shallow to be touched on its walls, and rods too far apart', () => {
    expect(() => rollingRadius({ kind: 'v', included_deg: 90, rim: -0.75, lip_m: 0, floor_m: 0 }, 0.008)).toThrow(
      /shallow/,
    )
    expect(() => rollingRadius({ kind: 'rods', rod_radius_m: 0.002, apart_m: 0.021 }, 0.008)).toThrow(/far apart/)
  })
})

describe('motion', () => {
  const slope = (1.8 * Math.PI) / 180
  const law = { slope_rad: () => slope, resistance: () => 0.0072, k: 1.8, tau_s: Infinity }

  test('without a speed-proportional part it is the school parabola', () => {
    const a = (standardGravity * (Math.sin(slope) - 0.0072 * Math.cos(slope))) / 1.8
    const motion = integrate(law, 0, { s_m: 0, v_m_s: 0.2 }, 3)
    for (const t of [0.1, 0.77, 2.3]) {
      expect(motion.at(t).s_m).toBeCloseTo(0.2 * t + (a * t * t) / 2, 10)
      expect(motion.at(t).v_m_s).toBeCloseTo(0.2 + a * t, 10)
    }
  })

  test('with one it approaches its limit speed exponentially', () => {
    // v = v_t + (v0 − v_t) e^(−t/τ); v_t = .3, τ = 3, v0 = .05, t = 2 → v = .171646, s = .235063.
    const a0 = 0.1
    const drag = {
      slope_rad: () => Math.asin((a0 * 1.4) / standardGravity),
      resistance: () => 0,
      k: 1.4,
      tau_s: 3,
    }
    const motion = integrate(drag, 0, { s_m: 0, v_m_s: 0.05 }, 3)
    expect(motion.at(2).v_m_s).toBeCloseTo(0.171646, 6)
    expect(motion.at(2).s_m).toBeCloseTo(0.235063, 6)
  })

  test('energy: what gravity gives goes into motion and rolling resistance, also over a slow spot', () => {
    const spots = [{ at_m: 0.25, sd_m: 0.02, added_c: 0.02 }]
    const spotted = { ...law, resistance: resistanceAlong(0.0072, spots) }
    const motion = integrate(spotted, 0, { s_m: 0, v_m_s: 0.3 }, 4)
    const end = motion.at(1.6)
    const steps = 20000
    let resisted = 0
    for (let i = 0; i < steps; i++) resisted += (spotted.resistance(((i + 0.5) * end.s_m) / steps) * end.s_m) / steps
    const kinetic = 0.5 * 1.8 * (end.v_m_s ** 2 - 0.3 ** 2)
    const given = standardGravity * (Math.sin(slope) * end.s_m - Math.cos(slope) * resisted)
    expect(kinetic).toBeCloseTo(given, 8)
  })

  test('a ball sent up turns where its energy is spent and comes back slower', () => {
    const motion = integrate(law, 0, { s_m: 0.6, v_m_s: -0.4 }, 8)
    const up = acceleration(law, 0, 0, -1)
    const down = acceleration(law, 0, 0, 1)
    const turn_s = 0.4 / up
    expect(motion.at(turn_s).s_m).toBeCloseTo(0.6 - 0.4 ** 2 / (2 * up), 9)
    const back_s = Math.sqrt((2 * 0.4 ** 2) / (2 * up * down))
    expect(motion.at(turn_s + back_s).v_m_s).toBeCloseTo(0.4 * Math.sqrt(down / up), 8)
  })

  test('a ball that stops where the resistance beats the slope stays there', () => {
    const sticky = { ...law, resistance: () => 0.06 }
    const motion = integrate(sticky, 0, { s_m: 0, v_m_s: 0.2 }, 10)
    expect(motion.at(9).v_m_s).toBe(0)
    expect(motion.at(9).s_m).toBeCloseTo(0.2 ** 2 / (2 * -acceleration(sticky, 0, 0, 1)), 9)
  })
})

describe('passages', () => {
  test('a ball turns once per 2π r_e of lane', () => {
    const scene = testScenes.find(({ name }) => name === 'clean')!
    const [passage] = passages(scene)
    const from = passage!.motion.at(0.5).s_m
    const to = passage!.motion.at(1.4).s_m
    const turns = (passage!.pose(1.4).angle - passage!.pose(0.5).angle) / (2 * Math.PI)
    expect((to - from) / turns).toBeCloseTo(2 * Math.PI * 0.008 * Math.SQRT1_2, 9)
  })

  test('a slipping ball turns less', () => {
    const scene = testScenes.find(({ name }) => name === 'slip')!
    const [passage] = passages(scene)
    const from = passage!.motion.at(0.5).s_m
    const to = passage!.motion.at(1.4).s_m
    const angle = passage!.pose(1.4).angle - passage!.pose(0.5).angle
    expect(angle / ((to - from) / passage!.rolling_radius_m)).toBeCloseTo(0.9, 9)
  })
})

describe('paths', () => {
  test('arc length along a curved lane is what its points say', () => {
    const path = buildPath({
      kind: 'arc',
      start_m: [0, 0, 0.2],
      slope_deg: 2,
      heading_deg: -20,
      radius_m: 0.9,
      length_m: 0.7,
    })
    let travelled = 0
    for (let i = 0; i < 2000; i++) {
      travelled += length(subtract(path.at((0.6 * (i + 1)) / 2000).point, path.at((0.6 * i) / 2000).point))
    }
    expect(travelled).toBeCloseTo(0.6, 7)
    expect(path.at(0.6).point[2]).toBeCloseTo(0.2 - 0.6 * Math.sin((2 * Math.PI) / 180), 12)
  })

  test('across points away from the camera for a lane that runs along +x', () => {
    const { tangent, up } = buildPath({
      kind: 'straight',
      start_m: [0, 0, 0],
      slope_deg: 2,
      heading_deg: 0,
      length_m: 1,
    }).at(0.3)
    expect(acrossOf(tangent, up)[1]).toBeCloseTo(1, 9)
  })
})

describe('seeded numbers', () => {
  test('standardised draws have mean 0 and standard deviation 1 exactly', () => {
    const values = standardised(5, seeded(9))
    const mean = values.reduce((sum, value) => sum + value, 0) / 5
    expect(mean).toBeCloseTo(0, 12)
    expect(Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / 4)).toBeCloseTo(1, 12)
  })

  test('a blinking lamp is lit half of the time', () => {
    let lit = 0
    for (let i = 0; i < 3000; i++) lit += litShare(8, i / 1000, 1e-3) / 3000
    expect(lit).toBeCloseTo(0.5, 3)
  })
})
