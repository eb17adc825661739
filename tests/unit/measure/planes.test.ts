import { describe, expect, test } from 'vitest'
import {
  checkLine,
  laneGeometry,
  laneTicks,
  outsideRegion,
  planeMapOf,
  planeReport,
  planeTicks,
  sentenceFor,
  sentenceForBar,
  sentenceForRegion,
  slopeReport,
  spanOfShown,
  uncorrectedCosts,
  sentenceForCost,
} from '../../../workers/measure/index.ts'
import { noDeviations, type Plane, type Px } from '../../../workers/record/index.ts'
import { frontal, see } from './pinhole.ts'
import { barOf, exact, lane, onLane, rectangleOf, sceneRecord, seeded } from './scene.ts'

function problemOf(
  plane: (look: (x: number, y: number, z?: number) => Px) => Plane,
  edit = (_record: ReturnType<typeof sceneRecord>) => {},
) {
  const record = sceneRecord({ plane })
  edit(record)
  const found = laneGeometry(record, 'v', 'A', noDeviations)
  if (found.kind === 'lane') throw new Error('this plane cannot serve')
  return { kind: found.kind, sentence: sentenceFor(found) }
}
const rectangle = (corners: [Px, Px, Px, Px], w = 0.4, h = 0.2): Plane => ({
  kind: 'rectangle',
  id: 'p',
  name: 'board',
  corners,
  width_m: exact(w),
  height_m: exact(h),
})
const px = (x: number, y: number): Px => ({ x, y })

describe('planes that cannot serve are refused with what is wrong', () => {
  test('corners on one line', () => {
    expect(problemOf(() => rectangle([px(100, 100), px(300, 100), px(500, 100), px(100, 400)])).kind).toBe(
      'corners-collinear',
    )
  })
  test('crossed corners', () => {
    const { kind, sentence } = problemOf(() => rectangle([px(100, 100), px(500, 400), px(500, 100), px(100, 400)]))
    expect(kind).toBe('corners-crossed')
    expect(sentence).toContain('in turn')
  })
  test('a dent', () => {
    expect(problemOf(() => rectangle([px(100, 100), px(500, 100), px(250, 200), px(100, 400)])).kind).toBe(
      'corners-crossed',
    )
  })
  test('two corners on one spot', () => {
    const { kind, sentence } = problemOf(() => rectangle([px(100, 100), px(110, 100), px(500, 400), px(100, 400)]))
    expect(kind).toBe('corner-too-close')
    expect(sentence).toContain('10 px')
  })
  test('a side of no or negative length', () => {
    const corners: [Px, Px, Px, Px] = [px(100, 100), px(500, 100), px(500, 400), px(100, 400)]
    expect(problemOf(() => rectangle(corners, 0)).sentence).toContain('width is given as 0 mm')
    expect(problemOf(() => rectangle(corners, 0.4, -0.1)).sentence).toContain('-100 mm')
  })
  test('a bar of no length, of no pixels, or shorter than 20 px', () => {
    const bar = (a: Px, b: Px, length: number): Plane => ({
      kind: 'bars',
      id: 'p',
      name: 'bar',
      bars: [{ id: 'b', a, b, length_m: exact(length) }],
    })
    expect(problemOf(() => bar(px(100, 100), px(400, 100), 0)).kind).toBe('bar-length')
    expect(problemOf(() => bar(px(100, 100), px(100, 100), 0.3)).sentence).toContain('0 px')
    expect(problemOf(() => bar(px(100, 100), px(119, 100), 0.3)).sentence).toContain('19 px')
    expect(problemOf(() => ({ kind: 'bars', id: 'p', name: 'bar', bars: [] })).kind).toBe('no-bars')
  })
  test('three points, or points on one line', () => {
    const points = (list: [number, number, number, number][]): Plane => ({
      kind: 'points',
      id: 'p',
      name: 'board',
      points: list.map(([x, y, X, Y]) => ({ at: px(x, y), x_m: X, y_m: Y })),
      position_m: exact(0),
    })
    expect(
      problemOf(() =>
        points([
          [0, 0, 0, 0],
          [100, 0, 1, 0],
          [0, 100, 0, 1],
        ]),
      ).sentence,
    ).toContain('4 are needed')
    expect(
      problemOf(() =>
        points([
          [0, 0, 0, 0],
          [100, 0, 1, 0],
          [200, 0, 2, 0],
          [300, 0, 3, 0],
        ]),
      ).kind,
    ).toBe('points-collinear')
  })
  test('negative distances, and a lane nearer than the camera', () => {
    const distance = problemOf(
      (look) => barOf(look),
      (record) => {
        record.views['v']!.distance_m = exact(-1)
      },
    )
    expect(distance.sentence).toContain('-1000 mm')
    const nearer = problemOf(
      (look) => rectangleOf(look),
      (record) => {
        record.views['v']!.lines['A']!.nearer_m = exact(1.2)
      },
    )
    expect(nearer.kind).toBe('nearer-than-camera')
    expect(nearer.sentence).toContain('1200 mm')
  })
  test('no line, no scale, a line of no length, a line beyond the horizon', () => {
    const record = sceneRecord({ camera: { ...frontal, pitch_rad: 0.9, distance_m: 0.6 } })
    const view = record.views['v']!
    const kindOf = () => laneGeometry(record, 'v', 'A', noDeviations).kind
    view.lines['A']!.points = [px(600, 360), px(600, 360)]
    expect(kindOf()).toBe('line-too-short')
    view.lines['A']!.points = [px(600, 360), px(700, 20000)]
    expect(kindOf()).toBe('beyond-horizon')
    view.lines['A']!.planeId = null
    expect(kindOf()).toBe('line-without-scale')
    delete view.lines['A']
    expect(kindOf()).toBe('line-missing')
  })
})

describe('a plane tells how well it agrees with itself', () => {
  const board = (look: (x: number, y: number) => Px, noise = 0): Plane => {
    const chance = seeded(4)
    return {
      kind: 'points',
      id: 'p',
      name: 'board',
      points: [0, 0.1, 0.2, 0.3, 0.4].flatMap((x) =>
        [0, 0.1, 0.2].map((y) => {
          const at = look(x + 0.08, y - 0.1)
          return { at: px(at.x + noise * chance(), at.y + noise * chance()), x_m: x, y_m: y }
        }),
      ),
      position_m: exact(0),
    }
  }

  test('one of fifteen points misplaced by 5 px has the longest arrow, about as long as that', () => {
    const record = sceneRecord({ camera: { ...frontal, pitch_rad: 0.1, k1: -0.02 }, plane: (look) => board(look) })
    const plane = record.views['v']!.planes['p']!
    if (plane.kind !== 'points') throw new Error('points')
    plane.points[7]!.at.x += 5
    const report = planeReport(record, 'v', 'p')
    if (report.kind !== 'plane-report') throw new Error(report.kind)
    const longest = [...report.arrows].sort((a, b) => b.distance_m - a.distance_m)[0]!
    expect(longest.name).toBe('point 8')
    const shift = Math.hypot(longest.to.x - longest.from.x, longest.to.y - longest.from.y)
    expect(shift).toBeGreaterThan(3.5)
    expect(shift).toBeLessThan(5)
    expect(longest.distance_m).toBeCloseTo((shift * 1.1) / 2000, 4)
  })

  test('more points give a surer scale than four corners of the same rectangle', () => {
    const many = planeReport(sceneRecord({ plane: (look) => board(look) }), 'v', 'p')
    const four = planeReport(sceneRecord({ plane: (look) => rectangleOf(look, 0.08, -0.1, 0.4, 0.2) }), 'v', 'p')
    if (many.kind !== 'plane-report' || four.kind !== 'plane-report') throw new Error('reports')
    expect(many.scale.uRelative).toBeLessThan(four.scale.uRelative)
    expect(four.arrows).toEqual([])
  })

  test('a bar that contradicts its rectangle is told by how much, one that agrees is not', () => {
    const withBar = (length: number) => {
      const record = sceneRecord({
        plane: (look) => {
          const plane = rectangleOf(look)
          if (plane.kind !== 'rectangle') throw new Error('a rectangle')
          return { ...plane, checks: [{ id: 'b', a: look(0.1, 0.05), b: look(0.4, 0.05), length_m: exact(length) }] }
        },
      })
      const report = planeReport(record, 'v', 'p')
      if (report.kind !== 'plane-report') throw new Error(report.kind)
      return report.checks[0]!
    }
    expect(sentenceForBar(withBar(0.3))).toBeUndefined()
    expect(sentenceForBar(withBar(0.31))).toContain('reads 300 mm: −3.2 %')
  })

  test('of several bars the one with a wrong length contradicts the others', () => {
    const record = sceneRecord({
      plane: (look) => ({
        kind: 'bars',
        id: 'p',
        name: 'bars',
        bars: [-0.1, 0, 0.1].map((y, i) => ({
          id: `b${i}`,
          a: look(0.1, y),
          b: look(0.5, y),
          length_m: exact(i === 1 ? 0.42 : 0.4),
        })),
      }),
    })
    const report = planeReport(record, 'v', 'p')
    if (report.kind !== 'plane-report') throw new Error(report.kind)
    expect(report.checks[1]!.contradicts).toBe(true)
    expect(report.checks[1]!.found_m).toBeCloseTo(0.4, 3)
  })

  test('a check line over a known thing reads its length within its uncertainty', () => {
    const camera = { ...frontal, pitch_rad: 0.12, yaw_rad: -0.1 }
    const record = sceneRecord({ camera })
    const a = see(camera, [0.15, -0.05, 0])
    const b = see(camera, [0.35, 0.05, 0])
    const exactly = checkLine(record, 'v', 'p', a, b)
    if (exactly.kind !== 'length') throw new Error(exactly.kind)
    expect(exactly.length_m).toBeCloseTo(Math.hypot(0.2, 0.1), 9)
    expect(exactly.u_m).toBeGreaterThan(1e-4)
    expect(exactly.u_m).toBeLessThan(5e-4)
  })

  test('placing noise drawn at random stays within what the check line states (95 % of 200 draws)', () => {
    const record = sceneRecord({ camera: { ...frontal, pitch_rad: 0.1 } })
    const a = see({ ...frontal, pitch_rad: 0.1 }, [0.15, -0.05, 0])
    const b = see({ ...frontal, pitch_rad: 0.1 }, [0.45, 0.05, 0])
    const stated = checkLine(record, 'v', 'p', a, b)
    if (stated.kind !== 'length') throw new Error(stated.kind)
    const uniform = seeded(11)
    const normal = () => Array.from({ length: 12 }, uniform).reduce((sum, x) => sum + x, 0) / 2
    let inside = 0
    for (let i = 0; i < 200; i++) {
      const draw = structuredClone(record)
      const plane = draw.views['v']!.planes['p']!
      if (plane.kind !== 'rectangle') throw new Error('a rectangle')
      for (const corner of plane.corners) {
        corner.x += 0.3 * normal()
        corner.y += 0.3 * normal()
      }
      const map = planeMapOf(draw, draw.views['v']!, 'p', noDeviations)
      if (map.kind !== 'plane') throw new Error(map.kind)
      const noisy = (p: Px) => px(p.x + 0.3 * normal(), p.y + 0.3 * normal())
      const read = spanOfShown(map, noisy(a), noisy(b))
      if (Math.abs(read - Math.hypot(0.3, 0.1)) < 1.96 * stated.u_m) inside++
    }
    // 95 % of 200 with a binomial 3 σ of 9.
    expect(inside).toBeGreaterThan(180)
    expect(inside).toBeLessThan(199)
  })
})

describe('what is drawn over the picture', () => {
  test('lane ticks lie where the camera sees their millimetres', () => {
    const camera = { ...frontal, yaw_rad: 0.1, pitch_rad: 0.1, k1: -0.03 }
    const ticks = laneTicks(sceneRecord({ camera }), 'v', 'A')
    if (!Array.isArray(ticks)) throw new Error('ticks')
    expect(ticks.length).toBeGreaterThan(50)
    for (const tick of ticks) {
      const seen = see(camera, onLane(tick.mm / 1000))
      expect(Math.hypot(tick.a.x - seen.x, tick.a.y - seen.y)).toBeLessThan(1e-6)
    }
    expect(ticks.at(-1)!.mm).toBe(lane.length_m * 1000)
  })

  test('zooming in shows finer ticks', () => {
    const at = (zoom: number) => {
      const ticks = laneTicks(sceneRecord(), 'v', 'A', zoom)
      if (!Array.isArray(ticks)) throw new Error('ticks')
      return ticks[1]!.mm
    }
    expect(at(0.5)).toBeGreaterThan(at(1))
    expect(at(4)).toBe(1)
  })

  test('plane ticks run along the four sides of a rectangle and along a bar', () => {
    const camera = { ...frontal, pitch_rad: 0.1 }
    const sides = planeTicks(sceneRecord({ camera }), 'v', 'p')
    if (!Array.isArray(sides)) throw new Error('ticks')
    const right = see(camera, [0.08 + 0.1, -0.1, 0])
    expect(sides.some((tick) => tick.mm === 100 && Math.hypot(tick.a.x - right.x, tick.a.y - right.y) < 1e-6)).toBe(
      true,
    )
    const bar = planeTicks(sceneRecord({ plane: (look) => barOf(look) }), 'v', 'p')
    if (!Array.isArray(bar)) throw new Error('ticks')
    expect(bar.at(-1)!.mm).toBe(300)
  })
})

describe('what is not corrected', () => {
  const uncorrected = () =>
    sceneRecord({
      plane: (look) => barOf(look),
      view: (view) => {
        delete view.lens
        delete view.lines['A']!.nearer_m
      },
    })

  test('a yaw of 2° fakes an acceleration of −2 v² sin φ / D, a depth of 5 mm a speed of 0.45 %', () => {
    const costs = uncorrectedCosts(uncorrected(), 'v', 'A', 0.5)
    const yaw = costs.find((cost) => cost.kind === 'yaw')!
    // −2·v²·sin φ/D at the middle of the field; derived from the projectivity u ∝ X cos φ/(1 + X sin φ/D).
    const expected = (2 * 0.25 * Math.sin((2 * Math.PI) / 180)) / 1.1
    expect(Math.abs(yaw.acceleration_m_s2)).toBeGreaterThan(0.7 * expected)
    expect(Math.abs(yaw.acceleration_m_s2)).toBeLessThan(1.3 * expected)
    const parallax = costs.find((cost) => cost.kind === 'parallax')!
    expect(parallax.speed_percent).toBeCloseTo(100 * (1.1 / 1.095 - 1), 2)
    expect(costs.map((cost) => cost.kind).sort()).toEqual(['lens', 'parallax', 'pitch', 'shutter', 'yaw'])
    for (const cost of costs) expect(sentenceForCost(cost)).toMatch(/%.*m\/s²/)
  })

  test('a scene where all is corrected has nothing to say but the shutter', () => {
    expect(uncorrectedCosts(sceneRecord(), 'v', 'A', 0.5).map((cost) => cost.kind)).toEqual(['shutter'])
  })

  test('a lane line far outside its rectangle is pointed out, one inside is not', () => {
    expect(outsideRegion(sceneRecord(), 'v', 'A')).toBeUndefined()
    const small = sceneRecord({ plane: (look) => rectangleOf(look, 0.08, -0.02, 0.1, 0.05) })
    const region = outsideRegion(small, 'v', 'A')!
    expect(region.share).toBeGreaterThan(0.5)
    expect(sentenceForRegion(region)).toContain('outside')
  })

  test('a side of wrong length shows as a camera that cannot be, and the slope then falls back to the corners as they are', () => {
    const record = sceneRecord({
      camera: { ...frontal, pitch_rad: 0.1 },
      view: (view, look) => {
        view.gravity = [{ id: 'g', kind: 'plumb', a: look(0.45, -0.2), b: look(0.45, 0), planeId: null }]
      },
    })
    record.mountings['m']!.slope = { kind: 'from-picture', viewId: 'v' }
    const plane = record.views['v']!.planes['p']!
    if (plane.kind !== 'rectangle') throw new Error('a rectangle')
    plane.width_m = exact(0.6)
    const report = slopeReport(record, 'm')
    if (report.kind !== 'slope-report') throw new Error(report.kind)
    // The free map is stretched along x by 0.6/0.44.
    expect(Math.tan(report.whole.value)).toBeCloseTo((Math.tan(lane.slope_rad) * 0.44) / 0.6, 4)
  })
})
