import { beforeAll, describe, expect, test } from 'vitest'
import {
  applyHomography,
  distort,
  homographyFrom,
  laneGeometry,
  undistort,
  type LensMap,
} from '../../workers/measure/index.ts'
import { noDeviations } from '../../workers/record/index.ts'
import { loadOracle, type Oracle } from '../support/geometry-oracle.ts'
import { exact, sceneRecord, seeded } from '../unit/measure/scene.ts'

// Source of every expected value in this file: OpenCV 4.12 (WebAssembly build, npm @techstark/opencv-js), run beside ours.
const agreement = 1e-6
let oracle: Oracle
beforeAll(async () => {
  oracle = await loadOracle()
}, 60_000)

const flat = (points: readonly { x: number; y: number }[]) => points.flatMap((p) => [p.x, p.y])

describe('projective geometry against OpenCV', () => {
  test('a homography through four points', () => {
    const chance = seeded(1)
    for (let trial = 0; trial < 40; trial++) {
      const corners = [
        [200, 150],
        [1000, 180],
        [1050, 600],
        [150, 560],
      ].map(([x, y]) => ({ x: x! + 90 * chance(), y: y! + 90 * chance() }))
      const known = [
        { x: 0, y: 0 },
        { x: 0.44, y: 0 },
        { x: 0.44, y: 0.2 },
        { x: 0, y: 0.2 },
      ]
      const ours = homographyFrom(corners, known)!
      const theirs = oracle.homography(flat(corners), flat(known))
      for (let k = 0; k < 30; k++) {
        const p = { x: 640 + 500 * chance(), y: 360 + 300 * chance() }
        const at = applyHomography(ours, p.x, p.y)
        const [x, y] = oracle.perspective([p.x, p.y], theirs)
        expect(Math.abs(at.x - x!)).toBeLessThan(agreement)
        expect(Math.abs(at.y - y!)).toBeLessThan(agreement)
      }
    }
  })

  test('a homography fitted to many noisy points, refined by least squares on both sides', () => {
    const chance = seeded(2)
    for (let trial = 0; trial < 20; trial++) {
      const truth = [1800, 90 * chance(), 200, 60 * chance(), 1750, 160, 0.4 * chance(), 0.4 * chance(), 1]
      const known = Array.from({ length: 24 }, () => ({ x: 0.22 + 0.22 * chance(), y: 0.1 + 0.1 * chance() }))
      const seen = known.map((p) => {
        const at = applyHomography(Float64Array.from(truth), p.x, p.y)
        return { x: at.x + 0.5 * chance(), y: at.y + 0.5 * chance() }
      })
      const ours = homographyFrom(known, seen)!
      const theirs = oracle.homography(flat(known), flat(seen))
      for (const p of known) {
        const at = applyHomography(ours, p.x, p.y)
        const [x, y] = oracle.perspective([p.x, p.y], theirs)
        // Both minimise the same sum of squares by iteration; px, against noise of 0.3 px.
        expect(Math.hypot(at.x - x!, at.y - y!)).toBeLessThan(1e-4)
      }
      const misfit = (h: ArrayLike<number>) =>
        known.reduce((sum, p, i) => {
          const at = applyHomography(Float64Array.from(h), p.x, p.y)
          return sum + (at.x - seen[i]!.x) ** 2 + (at.y - seen[i]!.y) ** 2
        }, 0)
      // Ours is the least of the two, to the last digits.
      expect(misfit(ours)).toBeLessThanOrEqual(misfit(theirs) * (1 + 1e-9))
    }
  })

  test('radial distortion, and its removal', () => {
    const chance = seeded(3)
    const [cx, cy] = [640, 360]
    const half = Math.hypot(cx, cy)
    for (const k1 of [-0.12, -0.05, -0.003, 0.02, 0.1]) {
      const lens: LensMap = { kind: 'lens', k1, cx, cy, half }
      for (let trial = 0; trial < 200; trial++) {
        const p = { x: cx + 0.95 * cx * chance(), y: cy + 0.95 * cy * chance() }
        // OpenCV's radius is in units of the focal length: a camera whose focal length is the half diagonal, places at depth 1.
        const [x, y] = oracle.project(
          [(p.x - cx) / half, (p.y - cy) / half, 1],
          [0, 0, 0],
          [0, 0, 0],
          [half, 0, cx, 0, half, cy, 0, 0, 1],
          [k1, 0, 0, 0],
        )
        const shown = distort(lens, p.x, p.y)
        expect(Math.hypot(shown.x - x!, shown.y - y!)).toBeLessThan(agreement)
        const back = undistort(lens, x!, y!)
        expect(Math.hypot(back.x - p.x, back.y - p.y)).toBeLessThan(agreement)
      }
    }
  })

  test('the whole way: places that OpenCV projects through a turned camera with a curved lens come back as metres along the lane', () => {
    const record = sceneRecord()
    const view = record.views['v']!
    const [cx, cy, focal] = [view.width / 2, view.height / 2, 1900]
    const k1 = -0.1
    view.lens = { kind: 'typed', k1: exact(k1 * (Math.hypot(cx, cy) / focal) ** 2) }
    const look = (x: number, y: number) => {
      const [px, py] = oracle.project(
        [x, y, 0],
        [0.12, 0.087, 0.03],
        [-0.3, 0.02, 1.05],
        [focal, 0, cx, 0, focal, cy, 0, 0, 1],
        [k1, 0, 0, 0],
      )
      return { x: px!, y: py! }
    }
    const plane = view.planes['p']!
    if (plane.kind !== 'rectangle') throw new Error('the scene has a rectangle')
    plane.corners = [look(0.05, -0.1), look(0.49, -0.1), look(0.49, 0.1), look(0.05, 0.1)]
    view.lines['A']!.points = [look(0.02, -0.01), look(0.52, 0.02)]
    const geometry = laneGeometry(record, 'v', 'A', noDeviations)
    if (geometry.kind !== 'lane') throw new Error(geometry.kind)
    const length = Math.hypot(0.5, 0.03)
    expect(Math.abs(geometry.length_m - length)).toBeLessThan(agreement)
    const out = new Float64Array(3)
    for (let i = 0; i <= 20; i++) {
      const p = look(0.02 + 0.025 * i, -0.01 + 0.0015 * i)
      geometry.project(p.x, p.y, out)
      expect(Math.abs(out[0]! - (length * i) / 20)).toBeLessThan(agreement)
      expect(Math.abs(out[1]!)).toBeLessThan(agreement)
    }
  })
})
