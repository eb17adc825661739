import { describe, expect, test } from 'vitest'
import {
  distort,
  fitStraightEdges,
  frameOf,
  readBentEdge,
  settleCorner,
  type LensMap,
  type LumaPatch,
} from '../../../workers/measure/index.ts'
import { seeded } from './scene.ts'

const size = { width: 320, height: 240 }
const blur_px = 0.8

/** Cumulative normal: how an edge looks through a blurred pixel. Source of the fit: Abramowitz & Stegun 26.2.17. */
function step(d: number): number {
  const z = Math.abs(d) / blur_px
  const t = 1 / (1 + 0.2316419 * z)
  const tail =
    (Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI)) *
    t *
    (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))))
  return d < 0 ? tail : 1 - tail
}

function picture(scene: (x: number, y: number) => number, noise: number, seed: number, at = size): LumaPatch {
  const uniform = seeded(seed)
  const normal = () => Array.from({ length: 12 }, uniform).reduce((sum, x) => sum + x, 0) / 2
  const luma = new Float32Array(at.width * at.height)
  for (let j = 0; j < at.height; j++)
    for (let i = 0; i < at.width; i++) luma[j * at.width + i] = Math.round(scene(i + 0.5, j + 0.5) + noise * normal())
  return { x0: 0, y0: 0, ...at, luma }
}

/** Distances from the two lines through `c` at these directions [rad]. */
const fromLines = (c: { x: number; y: number }, one: number, two: number) => (x: number, y: number) =>
  [one, two].map((angle) => (x - c.x) * -Math.sin(angle) + (y - c.y) * Math.cos(angle)) as [number, number]

const places = [
  { x: 120.37, y: 101.81 },
  { x: 121, y: 100.5 },
  { x: 119.6, y: 102.12 },
]

describe('placed corners settle', () => {
  test.each(places)('on the crossing of a chequered card at $x, $y to 0.1 px and within 3 u', (c) => {
    const d = fromLines(c, 0.06, 1.5)
    const scene = (x: number, y: number) => {
      const [a, b] = d(x, y)
      return 60 + 120 * (step(a) * step(b) + step(-a) * step(-b))
    }
    for (const seed of [1, 2, 3]) {
      const found = settleCorner(picture(scene, 2.5, seed), { x: c.x + 2.4, y: c.y - 1.9 }, [])
      if (found.kind !== 'corner') throw new Error(found.kind)
      const off = Math.hypot(found.at.x - c.x, found.at.y - c.y)
      expect(found.by).toBe('crossing')
      expect(off).toBeLessThan(0.1)
      expect(off).toBeLessThan(3 * found.u_px)
    }
  })

  test.each(places)(
    'on the meeting of two sides of a board at $x, $y, which blur rounds, to 0.1 px and within 3 u',
    (c) => {
      const d = fromLines(c, 0.05, 1.62)
      const scene = (x: number, y: number) => {
        const [a, b] = d(x, y)
        return 70 + 100 * step(a) * step(-b)
      }
      const towards = [
        { x: c.x + 150, y: c.y + 7.5 },
        { x: c.x - 6, y: c.y + 120 },
      ]
      for (const seed of [1, 2, 3]) {
        const found = settleCorner(picture(scene, 2.5, seed), { x: c.x - 2.2, y: c.y + 2.9 }, towards)
        if (found.kind !== 'corner') throw new Error(found.kind)
        const off = Math.hypot(found.at.x - c.x, found.at.y - c.y)
        expect(found.by).toBe('sides')
        expect(off).toBeLessThan(0.1)
        expect(off).toBeLessThan(3 * found.u_px)
      }
    },
  )

  test('nowhere on a blank wall, on a lone edge, or where the corner is farther than its reach', () => {
    const edge = (x: number) => 70 + 100 * step(x - 120)
    const c = { x: 120, y: 100 }
    const towards = [
      { x: 200, y: 100 },
      { x: 120, y: 200 },
    ]
    expect(
      settleCorner(
        picture(() => 120, 2.5, 4),
        c,
        towards,
      ).kind,
    ).toBe('corner-not-seen')
    expect(settleCorner(picture(edge, 2.5, 5), c, towards).kind).toBe('corner-not-seen')
    const d = fromLines(c, 0, Math.PI / 2)
    const chequered = (x: number, y: number) => {
      const [a, b] = d(x, y)
      return 60 + 120 * (step(a) * step(b) + step(-a) * step(-b))
    }
    expect(settleCorner(picture(chequered, 2.5, 6), { x: 134, y: 100 }, towards).kind).toBe('corner-not-seen')
  })
})

describe('edges bent by a lens', () => {
  const frame = frameOf({ width: 640, height: 360 })
  const lens: LensMap = { kind: 'lens', k1: -0.08, ...frame }
  /** Where a board's upper edge, at y = 40 in the undistorted picture, is shown. */
  const yAt = (x: number) => {
    // The undistorted abscissa whose shown one is x, by bisection: both rise together.
    let [low, high] = [-100, 740]
    for (let i = 0; i < 50; i++) {
      const middle = (low + high) / 2
      if (distort(lens, middle, 40).x < x) low = middle
      else high = middle
    }
    return distort(lens, low, 40).y
  }
  const course = Float64Array.from({ length: 641 }, (_, x) => yAt(x))
  const scene = (x: number, y: number) => {
    const i = Math.min(639, Math.floor(x))
    return 60 + 90 * step(y - (course[i]! + (x - i) * (course[i + 1]! - course[i]!)))
  }
  const clicked = [20, 180, 330, 470, 620].map((x, i) => ({ x, y: yAt(x) + [1.2, -0.9, 1.4, -1.1, 0.8][i]! }))

  test('are followed in sub-pixels between rough clicks, and tell k1 within U and ten times better than the clicks', () => {
    const found = readBentEdge(picture(scene, 2.5, 8, { width: 640, height: 360 }), clicked)
    if (found.kind !== 'bent-edge') throw new Error(found.kind)
    expect(found.points.length).toBeGreaterThan(40)
    for (const p of found.points) expect(Math.abs(p.y - yAt(p.x))).toBeLessThan(0.3)
    expect(found.u_px).toBeLessThan(0.1)
    const fit = fitStraightEdges([found.points], frame, 0.5)
    if (fit.kind !== 'edges') throw new Error(fit.kind)
    expect(Math.abs(fit.k1 - lens.k1)).toBeLessThan(2 * fit.u)
    const rough = fitStraightEdges([clicked], frame, 0.5)
    if (rough.kind !== 'edges') throw new Error(rough.kind)
    expect(Math.abs(fit.k1 - lens.k1)).toBeLessThan(Math.abs(rough.k1 - lens.k1) / 10)
  })

  test('a blank wall has none, and an edge of 30 px is too short', () => {
    expect(
      readBentEdge(
        picture(() => 120, 2.5, 9),
        clicked.slice(0, 3),
      ).kind,
    ).toBe('string-not-seen')
    const short = readBentEdge(picture(scene, 2.5, 8), [
      { x: 100, y: 50 },
      { x: 130, y: 50 },
    ])
    expect(short.kind).toBe('string-short')
  })
})

test('one stretch of an edge that is another surface’s is no lens: k1 stays within U of 0', () => {
  const uniform = seeded(11)
  // Seen beside a shadow: 0.65 px higher over the middle of its length, with a hundredth of a pixel of noise.
  const edge = Array.from({ length: 42 }, (_, i) => {
    const x = 20 + (1240 * i) / 41
    return { x, y: 649.2 - (x > 360 && x < 920 ? 0.65 : 0) + 0.05 * uniform() }
  })
  const fit = fitStraightEdges([edge], frameOf({ width: 1280, height: 720 }), 0.5)
  if (fit.kind !== 'edges') throw new Error(fit.kind)
  expect(Math.abs(fit.k1)).toBeLessThan(2 * fit.u)
})
