import { describe, expect, test } from 'vitest'
import {
  fitStraightEdges,
  frameOf,
  implicitSources,
  laneGeometry,
  lensOf,
  polylinePath,
  samplesOf,
  sentenceFor,
  straightPath,
  type LanePath,
} from '../../../workers/measure/index.ts'
import { projectiveScale } from '../../../workers/measure/projective-scale.ts'
import { smoothPath } from '../../../workers/measure/smooth-curve.ts'
import { bentTapeScale } from '../../../workers/measure/tape-scale.ts'
import { noDeviations, type LaneLine, type Px } from '../../../workers/record/index.ts'
import { frontal, see } from './pinhole.ts'
import { exact, lane, onLane, rectangleOf, sceneRecord, seeded } from './scene.ts'

function path(found: ReturnType<typeof smoothPath>): LanePath {
  if ('kind' in found) throw new Error(found.kind)
  return found
}
const circle = (from: number, to: number, n: number, r = 0.3) =>
  Array.from({ length: n }, (_, i) => {
    const angle = from + ((to - from) * i) / (n - 1)
    return { x: r * Math.sin(angle), y: r * Math.cos(angle) }
  })

describe('lane lines', () => {
  test('a smooth curve through 13 points of a half circle has its arc length to 0.01 %', () => {
    const curve = path(smoothPath(circle(0, Math.PI, 13)))
    expect(Math.abs(curve.length / (Math.PI * 0.3) - 1)).toBeLessThan(1e-4)
  })

  test('a parabola through three of its points has its arc length as the integral says', () => {
    // ∫₀¹ √(1 + 4x²) dx = √5/2 + asinh(2)/4.
    const curve = path(smoothPath([0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1].map((x) => ({ x, y: x * x }))))
    expect(Math.abs(curve.length / (Math.sqrt(5) / 2 + Math.asinh(2) / 4) - 1)).toBeLessThan(1e-4)
  })

  test('projecting a place beside the curve gives its arc length and its distance, and at() goes back', () => {
    const curve = path(smoothPath(circle(0, Math.PI / 2, 10)))
    const out = new Float64Array(4)
    for (let i = 0; i <= 30; i++) {
      const angle = ((Math.PI / 2) * i) / 30
      const r = 0.303
      curve.project(r * Math.sin(angle), r * Math.cos(angle), out)
      expect(out[0]!).toBeCloseTo(0.3 * angle, 5)
      expect(Math.abs(out[1]!)).toBeCloseTo(0.003, 4)
      const back = curve.at(out[0]!)
      expect(Math.abs(Math.hypot(back.x, back.y) / 0.3 - 1)).toBeLessThan(1e-4)
    }
  })

  test('every kind of line goes on straight beyond its ends', () => {
    const points = [
      { x: 0, y: 0 },
      { x: 1, y: 0 },
      { x: 2, y: 0 },
    ]
    const out = new Float64Array(4)
    for (const kind of [straightPath, polylinePath, smoothPath]) {
      const line = path(kind(points))
      line.project(2.5, 0.1, out)
      expect(out[0]!).toBeCloseTo(2.5, 9)
      line.project(-0.5, 0.1, out)
      expect(out[0]!).toBeCloseTo(-0.5, 9)
      expect(line.at(2.5).x).toBeCloseTo(2.5, 9)
    }
  })

  test('a polyline’s arc length goes round its corners', () => {
    const line = path(
      polylinePath([
        { x: 0, y: 0 },
        { x: 3, y: 0 },
        { x: 3, y: 4 },
      ]),
    )
    const out = new Float64Array(4)
    expect(line.length).toBe(7)
    line.project(3.1, 2, out)
    expect(out[0]!).toBeCloseTo(5, 12)
    expect(line.at(5)).toMatchObject({ x: 3, y: 2, dx: 0, dy: 1 })
  })

  test('a straight line through many noisy points is their best line, directed from first to last', () => {
    const chance = seeded(9)
    const points = Array.from({ length: 40 }, (_, i) => ({ x: 1 - i / 40, y: 0.5 * (1 - i / 40) + 0.001 * chance() }))
    const line = path(straightPath(points))
    expect(line.at(0).x).toBeGreaterThan(line.at(1).x)
    expect(line.at(0).dy / line.at(0).dx).toBeCloseTo(0.5, 3)
  })

  test('a curved lane through a tilted camera keeps its arc length within 0.1 %', () => {
    const camera = { ...frontal, yaw_rad: 0.09, pitch_rad: 0.12, k1: -0.02 }
    const bend = (s: number): readonly [number, number, number] => [
      0.08 + 0.5 * Math.sin(s / 0.5),
      0.02 + 0.5 * (1 - Math.cos(s / 0.5)) - 0.1,
      0,
    ]
    const record = sceneRecord({
      camera,
      line: () => ({
        laneId: 'A',
        planeId: 'p',
        shape: 'curve',
        points: Array.from({ length: 8 }, (_, i) => see(camera, bend((0.42 * i) / 7))),
        nearer_m: exact(0),
      }),
    })
    const { marks } = record.runs['run']!
    const s = marks.frame.map((i) => 0.02 * i)
    const seen = s.map((value) => see(camera, bend(value)))
    marks.x = seen.map((p) => p.x)
    marks.y = seen.map((p) => p.y)
    const found = samplesOf(record, 'run')
    if (found.kind !== 'samples') throw new Error(found.kind)
    for (const [i, value] of s.entries()) expect(Math.abs(found.s_m[i]! - value)).toBeLessThan(2e-5)
  })
})

describe('tick tapes', () => {
  test('the projectivity of a yawed camera: a published-style check with five ticks', () => {
    // Ticks at 0, 0.1 … 0.4 m seen at these places [px]; between them u = 530.373343 is 0.25 m. Computed from u = (h₁X + h₂)/(1 + h₃X).
    const scale = projectiveScale([35, 234.183, 431.985, 628.421, 823.505], [0, 0.1, 0.2, 0.3, 0.4])!
    expect(scale.at(530.373343)).toBeCloseTo(0.25, 6)
    expect(scale.inverse(0.25)).toBeCloseTo(530.373, 2)
    const h = 0.01
    expect(scale.slopeAt(300)).toBeCloseTo((scale.at(300 + h) - scale.at(300 - h)) / (2 * h), 9)
  })

  const taped = (
    camera: typeof frontal,
    shape: LaneLine['shape'],
    at: (s: number) => readonly [number, number, number],
    n = 6,
  ) => {
    const tick = (i: number) => (0.5 * i) / (n - 1)
    const record = sceneRecord({
      camera,
      line: () => ({
        laneId: 'A',
        planeId: null,
        shape,
        points:
          shape === 'straight'
            ? [see(camera, at(0)), see(camera, at(0.5))]
            : Array.from({ length: 14 }, (_, i) => see(camera, at((0.5 * i) / 13))),
        ticks: Array.from({ length: n }, (_, i) => ({ at: see(camera, at(tick(i))), s_m: 0.03 + tick(i) })),
        tickPosition_m: { value: 0, sources: ['printed', 'stretch'] },
        nearer_m: exact(0),
      }),
      sources: [
        { id: 'printed', name: 'print', unit: 'm', distribution: { kind: 'normal', u: 1e-4 } },
        { id: 'stretch', name: 'paper', unit: '1', relative: true, distribution: { kind: 'rectangular', half: 2e-3 } },
      ],
    })
    const { marks } = record.runs['run']!
    const seen = marks.frame.map((i) => see(camera, at(0.025 * i)))
    marks.x = seen.map((p) => p.x)
    marks.y = seen.map((p) => p.y)
    return record
  }
  const worst = (record: ReturnType<typeof taped>, deviations = new Map<string, number>()) => {
    const found = samplesOf(record, 'run', deviations)
    if (found.kind !== 'samples') throw new Error(JSON.stringify(found))
    return Math.max(...found.s_m.map((s, i) => Math.abs(s - 0.025 * i)))
  }
  const tilted = { ...frontal, yaw_rad: 0.3, pitch_rad: 0.1, k1: -0.02 }

  test('a straight lane seen aslant has exact lengths from its ticks alone', () => {
    expect(worst(taped(tilted, 'straight', (s) => onLane(s)))).toBeLessThan(1e-9)
  })

  test('a helix in depth has its arc length within 0.1 %, and between the ticks U covers what is off', () => {
    // One third of a turn of a helix of 150 mm radius round an upright axis.
    const helix = (s: number): readonly [number, number, number] => {
      const angle = 0.3 + s / 0.24
      return [0.3 - 0.15 * Math.cos(angle), -0.15 + 0.25 * s, -0.15 * Math.sin(angle)]
    }
    const step = Math.hypot(0.15 / 0.24, 0.25)
    const at = (s: number) => helix(s / step)
    const record = taped(frontal, 'curve', at, 17)
    expect(worst(record)).toBeLessThan(5e-4 * 0.5)
    const bend = implicitSources(record)['tape_v_A']!
    expect(bend.distribution).toEqual({ kind: 'normal', u: 1 })
    const plain = samplesOf(record, 'run')
    const moved = samplesOf(record, 'run', new Map([['tape_v_A', 1]]))
    if (plain.kind !== 'samples' || moved.kind !== 'samples') throw new Error('samples')
    const doubts = Array.from(plain.s_m, (s, i) => Math.abs(moved.s_m[i]! - s))
    const errors = Array.from(plain.s_m, (s, i) => Math.abs(s - 0.025 * i))
    const rms = (values: number[]) => Math.sqrt(values.reduce((sum, x) => sum + x * x, 0) / values.length)
    expect(rms(errors)).toBeLessThan(2 * rms(doubts))
    // Fewer ticks, more doubt between them.
    const sparse = taped(frontal, 'curve', at, 7)
    const sparseMoved = samplesOf(sparse, 'run', new Map([['tape_v_A', 1]]))
    const sparsePlain = samplesOf(sparse, 'run')
    if (sparsePlain.kind !== 'samples' || sparseMoved.kind !== 'samples') throw new Error('samples')
    const sparseDoubts = Array.from(sparsePlain.s_m, (s, i) => Math.abs(sparseMoved.s_m[i]! - s))
    expect(rms(sparseDoubts)).toBeGreaterThan(2 * rms(doubts))
  })

  test('a tape that shrank shrinks all lengths alike, one misprinted tick only those about it', () => {
    const record = taped(tilted, 'curve', (s) => onLane(s))
    const plain = samplesOf(record, 'run')
    const shrunk = samplesOf(record, 'run', new Map([['stretch', 1e-3]]))
    const printed = samplesOf(record, 'run', new Map([['tick_v_A_2', 1e-4]]))
    if (plain.kind !== 'samples' || shrunk.kind !== 'samples' || printed.kind !== 'samples') throw new Error('samples')
    expect(shrunk.s_m[20]! / plain.s_m[20]!).toBeCloseTo(1.001, 9)
    expect(printed.s_m[8]! - plain.s_m[8]!).toBeCloseTo(1e-4, 6)
    expect(Math.abs(printed.s_m[20]! - plain.s_m[20]!)).toBeLessThan(1e-6)
  })

  test('a tape read from its other end gives the same lengths from the lane’s start', () => {
    const record = taped(tilted, 'straight', (s) => onLane(s))
    for (const tick of record.views['v']!.lines['A']!.ticks!) tick.s_m = 0.9 - tick.s_m
    expect(worst(record)).toBeLessThan(1e-9)
  })

  test('the map of a bent tape rises between unlucky ticks', () => {
    const u = [0, 10, 200, 210, 400]
    const s = [0, 0.1, 0.11, 0.3, 0.31]
    const scale = bentTapeScale(u, s, 0)!
    let last = -1
    for (let x = 0; x <= 400; x += 2) {
      expect(scale.at(x)).toBeGreaterThan(last)
      last = scale.at(x)
    }
  })

  test('two ticks, ticks on one spot, a tick out of order: a sentence each', () => {
    const kindWith = (edit: (line: LaneLine) => void) => {
      const record = taped(tilted, 'straight', (s) => onLane(s))
      edit(record.views['v']!.lines['A']!)
      const found = laneGeometry(record, 'v', 'A', noDeviations)
      if (found.kind === 'lane') throw new Error('this tape cannot serve')
      expect(sentenceFor(found).length).toBeGreaterThan(30)
      return found.kind
    }
    expect(kindWith((line) => line.ticks!.splice(2))).toBe('ticks-too-few')
    expect(kindWith((line) => (line.ticks![1]!.at = { ...line.ticks![0]!.at }))).toBe('ticks-too-close')
    expect(kindWith((line) => (line.ticks![2]!.s_m = 0.9))).toBe('ticks-order')
  })
})

describe('the lens, from straight edges', () => {
  const camera = { ...frontal, k1: -0.04 }
  /** `bow_m`: how far its middle stands off the line between its ends. */
  const edge = (y: number, noise: () => number, n = 12, bow_m = 0): Px[] =>
    Array.from({ length: n }, (_, i) => {
      const q = i / (n - 1)
      const p = see(camera, [-0.02 + 0.64 * q, y + 4 * bow_m * q * (1 - q), 0])
      return { x: p.x + noise(), y: p.y + noise() }
    })
  const frame = frameOf({ width: 1280, height: 720 })

  test('noise-free edges near the border give k1 exactly', () => {
    const fit = fitStraightEdges([edge(-0.27, () => 0), edge(0.07, () => 0)], frame, 0.3)
    if (fit.kind !== 'edges') throw new Error(fit.kind)
    expect(fit.k1).toBeCloseTo(camera.k1, 8)
  })

  test('noisy edges of boards as straight as boards are give k1 within 2 u in at least 90 of 100 draws', () => {
    const uniform = seeded(21)
    const normal = () => 0.3 * (Array.from({ length: 12 }, uniform).reduce((sum, x) => sum + x, 0) / 2)
    let inside = 0
    for (let i = 0; i < 100; i++) {
      const board = (y: number) => edge(y, normal, 12, (0.64 / 4000) * (normal() / 0.3))
      const fit = fitStraightEdges([board(-0.27), board(0.07), board(-0.2)], frame, 0.3)
      if (fit.kind !== 'edges') throw new Error(fit.kind)
      if (Math.abs(fit.k1 - camera.k1) < 2 * fit.u) inside++
    }
    expect(inside).toBeGreaterThanOrEqual(90)
    expect(inside).toBeLessThan(100)
  })

  test('edges through the middle, short ones, or two points say nothing', () => {
    const middle = Array.from({ length: 9 }, (_, i) => ({ x: 100 + 130 * i, y: 360 }))
    expect(fitStraightEdges([middle], frame, 0.3).kind).toBe('edges-say-nothing')
    const short = Array.from({ length: 5 }, (_, i) => ({ x: 300 + 10 * i, y: 50 }))
    const found = fitStraightEdges([short], frame, 0.3)
    expect(found.kind).toBe('edges-say-nothing')
    expect(fitStraightEdges([short.slice(0, 2)], frame, 0.3)).toMatchObject({ kind: 'edges-need-points', have: 2 })
    if (found.kind !== 'edges') expect(sentenceFor(found)).toContain('edges')
  })

  test('a curved lens left alone misleads, its edges put the lengths right', () => {
    const record = sceneRecord({ camera, plane: (look) => rectangleOf(look, 0.25, -0.1, 0.1, 0.2) })
    const view = record.views['v']!
    const off = () => {
      const found = samplesOf(record, 'run')
      if (found.kind !== 'samples') throw new Error(found.kind)
      return Math.abs(found.s_m[20]! - found.s_m[0]! - lane.length_m)
    }
    delete view.lens
    expect(off()).toBeGreaterThan(1e-3)
    view.lens = { kind: 'edges', edges: [edge(-0.27, () => 0), edge(0.07, () => 0)] }
    expect(off()).toBeLessThan(1e-6)
    const lens = lensOf(record, view, noDeviations)
    expect(lens).toMatchObject({ kind: 'lens' })
  })
})
