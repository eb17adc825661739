import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { type Samples, samplesOf } from '../../../workers/measure/index.ts'
import { parseRecord, type Px } from '../../../workers/record/index.ts'
import { frontal } from './pinhole.ts'
import { barOf, exact, lane, onLane, rectangleOf, sceneRecord } from './scene.ts'

function samples(record: ReturnType<typeof sceneRecord>, deviations = new Map<string, number>()): Samples {
  const found = samplesOf(record, 'run', deviations)
  if (found.kind !== 'samples') throw new Error(JSON.stringify(found))
  return found
}

const places = Array.from({ length: 21 }, (_, i) => i / 40)
const worst = (found: Samples) => Math.max(...places.map((s, i) => Math.abs(found.s_m[i]! - s)))
const angle = (most: number) => fc.double({ min: -most, max: most, noNaN: true })
const anyCamera = fc
  .record({ yaw_rad: angle(0.2), pitch_rad: angle(0.2), roll_rad: angle(0.1), k1: angle(0.05) })
  .map((turns) => ({ ...frontal, ...turns }))

describe('a run as metres and seconds', () => {
  test('the test records are valid ones', () => {
    expect(parseRecord(JSON.parse(JSON.stringify(sceneRecord()))).kind).toBe('ok')
  })

  test('a rectangle gives exact lengths whatever way the camera is turned and its lens curves', () => {
    fc.assert(
      fc.property(anyCamera, (camera) => {
        const found = samples(sceneRecord({ camera }))
        expect(worst(found)).toBeLessThan(1e-9)
        expect(Math.max(...found.across_m.map(Math.abs))).toBeLessThan(1e-9)
        expect(found.t_s[12]! - found.t_s[0]!).toBeCloseTo(12 / 240, 12)
      }),
      { seed: 1, numRuns: 60 },
    )
  })

  test('more known points than four, without noise, give the same lengths', () => {
    const camera = { ...frontal, yaw_rad: 0.1, pitch_rad: 0.12 }
    const record = sceneRecord({
      camera,
      plane: (look) => ({
        kind: 'points',
        id: 'p',
        name: 'board',
        points: [0, 0.1, 0.2, 0.3, 0.4].flatMap((x) =>
          [0, 0.1, 0.2].map((y) => ({ at: look(x, y - 0.1), x_m: x, y_m: y })),
        ),
        position_m: exact(0),
      }),
    })
    expect(worst(samples(record))).toBeLessThan(1e-9)
  })

  test('one bar gives exact lengths when pitch, yaw and distance are as stated', () => {
    fc.assert(
      fc.property(angle(0.15), angle(0.15), angle(0.1), (yaw_rad, pitch_rad, y) => {
        const record = sceneRecord({ camera: { ...frontal, yaw_rad, pitch_rad }, plane: (look) => barOf(look, y) })
        expect(worst(samples(record))).toBeLessThan(1e-9)
      }),
      { seed: 2, numRuns: 60 },
    )
  })

  test('a bar 200 mm above the lane under a camera looking down 8° is wrong by more than 2 % until the pitch is stated', () => {
    const camera = { ...frontal, pitch_rad: (8 * Math.PI) / 180 }
    const unstated = sceneRecord({
      camera,
      plane: (look) => barOf(look, -0.2),
      view: (view) => {
        view.pitch_rad = { value: 0, sources: ['pitch'] }
      },
      sources: [{ id: 'pitch', name: 'pitch', unit: 'rad', distribution: { kind: 'rectangular', half: 0.17 } }],
    })
    const length = (found: Samples) => found.s_m[20]! - found.s_m[0]!
    expect(Math.abs(length(samples(unstated)) / 0.5 - 1)).toBeGreaterThan(0.02)
    expect(length(samples(unstated, new Map([['pitch', (8 * Math.PI) / 180]])))).toBeCloseTo(0.5, 9)
  })

  test('bars at several heights find the pitch that nobody stated, and a deviation of the stated pitch then moves little', () => {
    const camera = { ...frontal, pitch_rad: 0.13 }
    const record = sceneRecord({
      camera,
      plane: (look) => ({
        kind: 'bars',
        id: 'p',
        name: 'bars',
        bars: [-0.2, 0, 0.1].map((y, i) => ({
          id: `b${i}`,
          a: look(0.1, y),
          b: look(0.5, y),
          length_m: exact(0.4),
        })),
      }),
      view: (view) => {
        view.pitch_rad = { value: 0, sources: ['pitch'] }
      },
      sources: [{ id: 'pitch', name: 'pitch', unit: 'rad', distribution: { kind: 'rectangular', half: 0.17 } }],
    })
    record.settings.placing_px = 0.05
    expect(worst(samples(record))).toBeLessThan(5e-4)
    const moved = samples(record, new Map([['pitch', 0.05]]))
    expect(Math.abs(moved.s_m[20]! - samples(record).s_m[20]!)).toBeLessThan(5e-5)
  })

  test('a lane 40 mm nearer than its bar reads 3.7 % long until that is said, then exactly', () => {
    const camera = { ...frontal, pitch_rad: 0.1, yaw_rad: 0.05 }
    const behind = (nearer: number) =>
      sceneRecord({
        camera,
        plane: (look) => ({
          kind: 'rectangle',
          id: 'p',
          name: 'board',
          corners: [look(0.1, -0.1, 0.04), look(0.5, -0.1, 0.04), look(0.5, 0.1, 0.04), look(0.1, 0.1, 0.04)],
          width_m: exact(0.4),
          height_m: exact(0.2),
          nearer_m: exact(nearer),
        }),
        view: (view) => {
          view.distance_m = exact(camera.distance_m + 0.04)
        },
      })
    expect(samples(behind(0)).s_m[20]!).toBeCloseTo(0.5 * (1.14 / 1.1), 6)
    expect(worst(samples(behind(0.04)))).toBeLessThan(1e-9)
  })

  test('turning, scaling and shifting the picture together with its calibration changes no length', () => {
    const base = sceneRecord({ camera: { ...frontal, yaw_rad: 0.08, pitch_rad: 0.1 } })
    const reading = samples(base)
    fc.assert(
      fc.property(
        fc.double({ min: -Math.PI, max: Math.PI, noNaN: true }),
        fc.double({ min: 0.3, max: 3, noNaN: true }),
        angle(500),
        angle(500),
        (turn, scale, dx, dy) => {
          const move = (p: Px): Px => ({
            x: scale * (p.x * Math.cos(turn) - p.y * Math.sin(turn)) + dx,
            y: scale * (p.x * Math.sin(turn) + p.y * Math.cos(turn)) + dy,
          })
          const record = structuredClone(base)
          const view = record.views['v']!
          const plane = view.planes['p']!
          if (plane.kind !== 'rectangle') throw new Error('the base has a rectangle')
          plane.corners = [
            move(plane.corners[0]),
            move(plane.corners[1]),
            move(plane.corners[2]),
            move(plane.corners[3]),
          ]
          view.lines['A']!.points = view.lines['A']!.points.map(move)
          const { marks } = record.runs['run']!
          const moved = marks.x.map((x, i) => move({ x, y: marks.y[i]! }))
          marks.x = moved.map((p) => p.x)
          marks.y = moved.map((p) => p.y)
          const found = samples(record)
          for (const [i, s] of reading.s_m.entries()) expect(found.s_m[i]).toBeCloseTo(s, 9)
        },
      ),
      { seed: 3, numRuns: 60 },
    )
  })

  test('the same with a bar before a square-on camera, where picture size scales too', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.3, max: 3, noNaN: true }), fc.constantFrom(0, 1, 2, 3), (scale, quarter) => {
        const record = sceneRecord({ plane: (look) => barOf(look, 0.05) })
        const view = record.views['v']!
        const [w, h] = [view.width, view.height]
        const move = (p: Px): Px => {
          const [x, y] = [p.x * scale, p.y * scale]
          if (quarter === 0) return { x, y }
          if (quarter === 1) return { x: h * scale - y, y: x }
          if (quarter === 2) return { x: w * scale - x, y: h * scale - y }
          return { x: y, y: w * scale - x }
        }
        view.width = (quarter % 2 === 0 ? w : h) * scale
        view.height = (quarter % 2 === 0 ? h : w) * scale
        const plane = view.planes['p']!
        if (plane.kind !== 'bars') throw new Error('the scene has a bar')
        for (const bar of plane.bars) {
          bar.a = move(bar.a)
          bar.b = move(bar.b)
        }
        view.lines['A']!.points = view.lines['A']!.points.map(move)
        const { marks } = record.runs['run']!
        const moved = marks.x.map((x, i) => move({ x, y: marks.y[i]! }))
        marks.x = moved.map((p) => p.x)
        marks.y = moved.map((p) => p.y)
        expect(worst(samples(record))).toBeLessThan(1e-9)
      }),
      { seed: 4, numRuns: 40 },
    )
  })

  test('a mark’s σ in metres is its pixels times the local scale along the lane', () => {
    const camera = { ...frontal, yaw_rad: 0.2, pitch_rad: 0.1 }
    const record = sceneRecord({ camera })
    const before = samples(record)
    const { marks } = record.runs['run']!
    const i = 15
    const [ahead, here] = [18, 15].map((k) => ({ x: marks.x[k]!, y: marks.y[k]! }))
    const length = Math.hypot(ahead!.x - here!.x, ahead!.y - here!.y)
    marks.x[i] = here!.x + (0.01 * (ahead!.x - here!.x)) / length
    marks.y[i] = here!.y + (0.01 * (ahead!.y - here!.y)) / length
    const perPixel = (samples(record).s_m[i]! - before.s_m[i]!) / 0.01
    expect(before.sigma_m[i]! / 0.3 / perPixel).toBeCloseTo(1, 3)
  })

  test('repeated frames, frames outside the trim and marks doubted as repeats are left out', () => {
    const record = sceneRecord({
      clip: (clip) => {
        clip.repeated = [5, 6]
        clip.trim = { first: 2, last: 17 }
      },
    })
    record.runs['run']!.marks.doubt[10] = 4
    const frames = Array.from(samples(record).frame)
    expect(frames).toEqual([2, 3, 4, 7, 8, 9, 11, 12, 13, 14, 15, 16, 17])
    record.clips['c']!.trim = { first: 100, last: 200 }
    expect(samplesOf(record, 'run')).toEqual({ kind: 'no-marks', runId: 'run', have: 21, leftOut: 21 })
  })

  test('a mark beside the line has its distance across, positive to the right of the way down', () => {
    const record = sceneRecord()
    const { marks } = record.runs['run']!
    marks.y[4] = marks.y[4]! + 10
    expect(samples(record).across_m[4]!).toBeCloseTo(((10 * 1.1) / 2000) * Math.cos(lane.slope_rad), 6)
  })

  test('rectangles listed the other way round measure the same', () => {
    const record = sceneRecord({
      camera: { ...frontal, pitch_rad: 0.1 },
      plane: (look) => {
        const plane = rectangleOf(look)
        if (plane.kind !== 'rectangle') throw new Error('a rectangle')
        const [a, b, c, d] = plane.corners
        return { ...plane, corners: [b, a, d, c] }
      },
    })
    expect(worst(samples(record))).toBeLessThan(1e-9)
    expect(onLane(0.5)[0]).toBeGreaterThan(0.5)
  })
})
