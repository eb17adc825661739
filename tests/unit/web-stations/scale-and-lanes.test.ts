import fc from 'fast-check'
import { produce, type Draft } from 'immer'
import { expect, test } from 'vitest'
import { rollingGeometry } from '../../../workers/physics/rolling-geometry.ts'
import type { GuideShape } from '../../../workers/physics/shapes.ts'
import { emptyRecord, parseRecord, type LaneLine, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { crossSection, type Spot } from '../../../web/stations/lanes/cross-section-lines.ts'
import { addBall, setDiameter } from '../../../web/stations/lanes/ball-edits.ts'
import { guideKinds, guideSizes, newGuide } from '../../../web/stations/lanes/guide-kinds.ts'
import { drawLane, freeKey, insertPoint, removeLane, removePoint } from '../../../web/stations/lanes/lane-edits.ts'
import { chooseWay, mountingsOf, parseSlope, putStation, typeSlope } from '../../../web/stations/lanes/slope-edits.ts'
import { addView } from '../../../web/stations/footage/view-edits.ts'
import { addGravityLine, putGravityLine, removeGravityLine } from '../../../web/stations/scale/gravity-edits.ts'
import { magnification } from '../../../web/picture/calibration-overlay.ts'
import { addEdge, removeEdge, typeCurvature } from '../../../web/stations/scale/lens-edits.ts'
import {
  addBarPlane,
  addRectanglePlane,
  inTurn,
  putPlanePoints,
  removePlane,
} from '../../../web/stations/scale/plane-edits.ts'
import { putTape, removeTape } from '../../../web/stations/scale/tape-edits.ts'
import { tapeStrip } from '../../../web/stations/scale/tape-strip.ts'
import { slopeReport } from '../../../workers/measure/index.ts'

const length = (value: number) => ({
  value,
  distribution: { kind: 'rectangular', half: 0.0005 } as const,
  basis: 'steel rule',
  unknown: false,
})

function withLane(): { record: SlowlaneRecord; viewId: string; laneId: string } {
  let viewId = ''
  let laneId = ''
  const record = produce(emptyRecord('r', 'test', ''), (draft) => {
    viewId = addView(draft, { width: 1280, height: 720 })
    addBarPlane(draft, viewId, { x: 100, y: 600 }, { x: 900, y: 600 }, length(0.35))
    laneId = drawLane(draft, draft.views[viewId]!, [
      { x: 50, y: 300 },
      { x: 1200, y: 340 },
    ])
  })
  return { record, viewId, laneId }
}

test('corners placed in any order become a turn that begins at the top left', () => {
  const corners = [
    { x: 10, y: 12 },
    { x: 300, y: 8 },
    { x: 310, y: 200 },
    { x: 5, y: 190 },
  ]
  fc.assert(
    fc.property(fc.shuffledSubarray(corners, { minLength: 4, maxLength: 4 }), (placed) => {
      expect(inTurn(placed)).toEqual(corners)
    }),
    { seed: 21 },
  )
})

test('what the stations draw is a valid record, and taking it away leaves no stray source and nothing that was kept of the lane', () => {
  const { record, viewId, laneId } = withLane()
  expect(parseRecord(JSON.parse(JSON.stringify(record))).kind).toBe('ok')
  expect(record.views[viewId]!.lines[laneId]!.planeId).not.toBeNull()
  const bare = produce(record, (draft) => {
    draft.settings.extra = { [`gap_m.${laneId}`]: 0.0002, [`interval_s.${laneId}`]: 2, demo: true }
    removePlane(draft, viewId, Object.keys(draft.views[viewId]!.planes)[0]!)
    removeLane(draft, laneId)
  })
  expect(parseRecord(JSON.parse(JSON.stringify(bare))).kind).toBe('ok')
  expect(bare.settings.extra).toEqual({ demo: true })
  const view = bare.views[viewId]!
  const named = [view.pitch_rad, view.yaw_rad, view.distance_m, bare.settings.gravity.g_m_s2].flatMap((s) => s.sources)
  expect(Object.keys(bare.sources).sort()).toEqual([...named].sort())
})

test('a rectangle keeps width and height with a source each', () => {
  const record = produce(emptyRecord('r', 'test', ''), (draft) => {
    const viewId = addView(draft, { width: 640, height: 480 })
    addRectanglePlane(
      draft,
      viewId,
      [
        { x: 0, y: 0 },
        { x: 0, y: 100 },
        { x: 200, y: 0 },
        { x: 200, y: 100 },
      ],
      length(0.42),
      length(0.285),
    )
  })
  const plane = Object.values(Object.values(record.views)[0]!.planes)[0]!
  if (plane.kind !== 'rectangle') throw new Error('a rectangle was drawn')
  expect(plane.width_m.value).toBe(0.42)
  expect(plane.height_m.value).toBe(0.285)
  expect(plane.width_m.sources).not.toEqual(plane.height_m.sources)
})

test('lanes are lettered A, B, C, filling gaps', () => {
  const record = produce(withLane().record, (draft) => {
    const view = Object.values(draft.views)[0]!
    drawLane(draft, view, [
      { x: 0, y: 0 },
      { x: 9, y: 0 },
    ])
  })
  expect(
    Object.values(record.lanes)
      .map((lane) => lane.key)
      .sort(),
  ).toEqual(['A', 'B'])
  expect(freeKey(record)).toBe('C')
})

const line = (): LaneLine => ({
  laneId: 'a',
  planeId: null,
  shape: 'straight',
  points: [
    { x: 0, y: 0 },
    { x: 100, y: 0 },
  ],
})

test('a new point goes between its neighbours or past the end it lies beyond', () => {
  const inserted = produce(line(), (draft) => {
    insertPoint(draft, { x: 40, y: 5 })
    insertPoint(draft, { x: 70, y: 4 })
    insertPoint(draft, { x: 130, y: 2 })
    insertPoint(draft, { x: -20, y: 1 })
  })
  expect(inserted.points.map((p) => p.x)).toEqual([-20, 0, 40, 70, 100, 130])
  expect(inserted.shape).toBe('polyline')
})

test('a line keeps its last two points and is straight again with them', () => {
  const bent = produce(line(), (draft) => void insertPoint(draft, { x: 50, y: 9 }))
  const straight = produce(bent, (draft) => void removePoint(draft, 1))
  expect(straight.shape).toBe('straight')
  expect(straight.points).toHaveLength(2)
  expect(produce(straight, (draft) => void removePoint(draft, 0))).toEqual(straight)
})

test('a slope typed as rise over run keeps its text, and its ± when it is typed anew', () => {
  const { record } = withLane()
  const mountingId = Object.keys(record.mountings)[0]!
  const type = (text: string) => (draft: Draft<SlowlaneRecord>) => {
    const typed = parseSlope(text)
    if (typed.kind !== 'slope') throw new Error(text)
    typeSlope(draft, mountingId, typed, text)
  }
  const first = produce(record, type('15:800'))
  const slope = first.mountings[mountingId]!.slope
  if (slope.kind !== 'gradient') throw new Error('rise over run is a gradient')
  expect(slope.gradient.value).toBeCloseTo(0.01875, 12)
  expect(first.mountings[mountingId]!.entered).toBe('15:800')
  const again = produce(first, type('16:800')).mountings[mountingId]!.slope
  expect(again.kind === 'gradient' && again.gradient.sources).toEqual(slope.gradient.sources)
  const angle = produce(first, type('1.8°'))
  expect(angle.mountings[mountingId]!.slope.kind).toBe('angle')
  expect(parseRecord(JSON.parse(JSON.stringify(angle))).kind).toBe('ok')
  const unknown = produce(angle, (draft) => chooseWay(draft, mountingId, 'unknown', null))
  expect(Object.keys(unknown.sources).length).toBe(Object.keys(record.sources).length)
})

test('every kind of guide can be begun without knowing it, says that nobody measured it, and is a valid record', () => {
  for (const { value: kind } of guideKinds) {
    const { record, laneId } = withLane()
    const begun = produce(record, (draft) => {
      draft.lanes[laneId]!.guide = newGuide(draft, kind)
    })
    expect(parseRecord(JSON.parse(JSON.stringify(begun))).kind, kind).toBe('ok')
    const needed = guideSizes[kind].filter((size) => !size.optional).length
    const unknown = Object.values(begun.sources).filter((s) => s.unknown).length
    expect(unknown, kind).toBe(needed + Object.values(record.sources).filter((s) => s.unknown).length)
  }
})

test('a ball renamed by its person keeps that name when its size changes; an automatic name follows', () => {
  let id = ''
  const record = produce(emptyRecord('r', 'test', ''), (draft) => {
    id = addBall(draft, 0.016, 'glass')
  })
  expect(record.balls[id]!.name).toBe('16 mm glass')
  expect(produce(record, (draft) => setDiameter(draft, id, 0.02)).balls[id]!.name).toBe('20 mm glass')
  const own = produce(record, (draft) => {
    draft.balls[id]!.name = 'the green one'
  })
  expect(produce(own, (draft) => setDiameter(draft, id, 0.02)).balls[id]!.name).toBe('the green one')
})

/** Distance of a spot from the drawn outline of a guide. */
function fromOutline(p: Spot, section: ReturnType<typeof crossSection>): number {
  const toSegment = (a: Spot, b: Spot) => {
    const l2 = (b.x - a.x) ** 2 + (b.y - a.y) ** 2
    const t = l2 === 0 ? 0 : Math.min(1, Math.max(0, ((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / l2))
    return Math.hypot(p.x - a.x - t * (b.x - a.x), p.y - a.y - t * (b.y - a.y))
  }
  return Math.min(
    ...section.lines.flatMap((l) => l.slice(1).map((q, i) => toSegment(l[i]!, q))),
    ...section.rounds.map(({ at, radius }) => Math.abs(Math.hypot(p.x - at.x, p.y - at.y) - radius)),
  )
}

test('the drawn contact points lie on the drawn guide and on the drawn ball', () => {
  const guides: GuideShape[] = [
    { kind: 'flat' },
    { kind: 'v-groove', included_rad: 1.2 },
    { kind: 'v-groove', included_rad: 1.6, roll_rad: 0.2 },
    { kind: 'v-groove', included_rad: 1.57, depth_m: 0.003 },
    { kind: 'unequal-v', left_rad: 0.6, right_rad: 0.9 },
    { kind: 'two-rails', railRadius_m: 0.002, centres_m: 0.01 },
    { kind: 'slot', gap_m: 0.01 },
    { kind: 'slot', gap_m: 0.01, depth_m: 0.001 },
    { kind: 'channel', radius_m: 0.012 },
  ]
  const ball = { radius_m: 0.008 }
  for (const guide of guides) {
    const rides = rollingGeometry(guide, ball)
    if (rides.kind !== 'rides') throw new Error(`${guide.kind} carries this ball`)
    const section = crossSection(guide, ball, rides)
    for (const contact of section.contacts) {
      // The channel's arc is drawn in 40 chords: within 0.02 mm of the circle.
      expect(fromOutline(contact, section), guide.kind).toBeLessThan(2e-5)
      expect(Math.hypot(contact.x - section.centre.x, contact.y - section.centre.y)).toBeCloseTo(0.008, 9)
    }
  }
})

test('a string belongs to no plane, a level edge to its own, and both go again', () => {
  const { record, viewId } = withLane()
  const planeId = Object.keys(record.views[viewId]!.planes)[0]!
  let string = ''
  const marked = produce(record, (draft) => {
    const view = draft.views[viewId]!
    string = addGravityLine(view, 'plumb', { a: { x: 5, y: 5 }, b: { x: 6, y: 400 }, u_px: 0.1 }, planeId)
    addGravityLine(view, 'level', { a: { x: 5, y: 5 }, b: { x: 400, y: 6 } }, planeId)
    putGravityLine(view, string, { a: { x: 5, y: 5 }, b: { x: 7, y: 410 } })
  })
  expect(parseRecord(JSON.parse(JSON.stringify(marked))).kind).toBe('ok')
  expect(marked.views[viewId]!.gravity.map((line) => line.planeId)).toEqual([null, planeId])
  expect(marked.views[viewId]!.gravity[0]!.b).toEqual({ x: 7, y: 410 })
  const left = produce(marked, (draft) => removeGravityLine(draft.views[viewId]!, string))
  expect(left.views[viewId]!.gravity.map((line) => line.kind)).toEqual(['level'])
})

test('a bent lane is drawn as one smooth curve through all its points', () => {
  const record = produce(withLane().record, (draft) => {
    const view = Object.values(draft.views)[0]!
    const points = [0, 100, 200, 300].map((x) => ({ x, y: 0.001 * x * x }))
    drawLane(draft, view, points, 'curve')
  })
  const bent = Object.values(Object.values(record.views)[0]!.lines).find((one) => one.points.length === 4)
  expect(bent?.shape).toBe('curve')
})

test('heights along a lane stay sorted, one a place, and are a valid slope', () => {
  const { record, laneId } = withLane()
  const mounting = mountingsOf(record, laneId)[0]!
  const put = produce(record, (draft) => {
    chooseWay(draft, mounting.id, 'along', null)
    const held = draft.mountings[mounting.id]!
    putStation(held, 0.4, 0.01)
    putStation(held, 0, 0.02)
    putStation(held, 0.2, 0.016)
    putStation(held, 0.2, 0.0155)
  })
  const { slope } = put.mountings[mounting.id]!
  expect(slope.kind === 'along' && slope.stations).toEqual([
    { s_m: 0, height_m: 0.02 },
    { s_m: 0.2, height_m: 0.0155 },
    { s_m: 0.4, height_m: 0.01 },
  ])
  expect(parseRecord(JSON.parse(JSON.stringify(put))).kind).toBe('ok')
  const report = slopeReport(put, mounting.id)
  expect(report.kind === 'slope-report' && report.whole.value).toBeCloseTo(Math.asin(0.01 / 0.4), 9)
})

test('a tape enters with its numbers and its ±, and goes without a trace', () => {
  const { record, viewId, laneId } = withLane()
  const points = [100, 300, 520, 760].map((x) => ({ x, y: 302 }))
  const taped = produce(record, (draft) => putTape(draft, viewId, laneId, points, 0.1, 0.05))
  const ticks = taped.views[viewId]!.lines[laneId]!.ticks!
  expect(ticks.map((tick) => tick.s_m)).toEqual([0.1, 0.15, 0.2, 0.25])
  expect(parseRecord(JSON.parse(JSON.stringify(taped))).kind).toBe('ok')
  const bare = produce(taped, (draft) => removeTape(draft, viewId, laneId))
  expect(bare.sources).toEqual(record.sources)
})

test('edges and a typed curvature give way to each other, leaving no stray source', () => {
  const { record, viewId } = withLane()
  const edge = [10, 400, 900].map((x) => ({ x, y: 20 }))
  const typed = produce(record, (draft) =>
    typeCurvature(draft, viewId, {
      value: -0.03,
      distribution: { kind: 'normal', u: 0.005 },
      basis: 'known',
      unknown: false,
    }),
  )
  const edged = produce(typed, (draft) => addEdge(draft, viewId, edge))
  expect(edged.views[viewId]!.lens).toEqual({ kind: 'edges', edges: [edge] })
  expect(edged.sources).toEqual(record.sources)
  const bare = produce(edged, (draft) => removeEdge(draft.views[viewId]!, 0))
  expect(bare.views[viewId]!.lens).toBeUndefined()
})

test('moving a corner by hand gives up what settling knew of it', () => {
  const { record, viewId } = withLane()
  const corners = [
    { x: 0, y: 0 },
    { x: 400, y: 0 },
    { x: 400, y: 200 },
    { x: 0, y: 200 },
  ]
  const planeOf = (r: SlowlaneRecord) => Object.values(r.views[viewId]!.planes).find((p) => p.kind === 'rectangle')!
  const settled = produce(record, (draft) => {
    addRectanglePlane(draft, viewId, corners, length(0.4), length(0.2), 0.1)
  })
  expect(planeOf(settled).u_px).toBe(0.1)
  const put = produce(settled, (draft) => {
    putPlanePoints(draft.views[viewId]!.planes[planeOf(settled).id]!, corners, undefined)
  })
  expect(planeOf(put).u_px).toBeUndefined()
})

test('the printed strip is true to scale: ticks where their numbers say, 100 mm to check', () => {
  for (const [length_mm, step_mm] of [
    [720, 10],
    [2000, 5],
    [180, 25],
  ] as const) {
    const { svg, pieces, pages } = tapeStrip(length_mm, step_mm)
    const [, wide, high] = /^<svg [^>]*width="(\d+)mm" height="(\d+)mm"/.exec(svg)!
    expect(svg).toContain(`viewBox="0 0 ${wide} ${high}"`)
    expect(svg).toContain('data-check="100"')
    expect(svg).toMatch(/h100M/)
    expect(pieces * 180).toBeGreaterThanOrEqual(length_mm)
    const ticks = [...svg.matchAll(/<path d="([^"]*)" stroke="#000" stroke-width="0.6" fill="none" data-from="(\d+)"/g)]
    expect(ticks).toHaveLength(pieces)
    for (const [, d, from] of ticks) {
      const xs = [...d!.matchAll(/M([\d.]+) /g)].map(([, x]) => Number(x) - 15 + Number(from))
      for (const x of xs) expect(Math.abs(x / step_mm - Math.round(x / step_mm))).toBeLessThan(1e-6)
      for (const [i, x] of xs.entries()) if (i > 0) expect(x - xs[i - 1]!).toBeCloseTo(step_mm, 6)
      // Nothing is drawn beyond the paper.
      expect(Math.max(...xs) - Number(from) + 15).toBeLessThanOrEqual(210 - 12)
    }
    expect(Number(high)).toBe(297 * pages)
  }
})

test('arrows are enlarged by a round number and never beyond the room they have', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 1e-4, max: 40, noNaN: true }),
      fc.double({ min: 20, max: 200, noNaN: true }),
      (longest, room) => {
        const times = magnification(longest, room)!
        expect(times).toBeGreaterThanOrEqual(1)
        if (times > 1) {
          expect(times * longest).toBeLessThanOrEqual(room * (1 + 1e-9))
          expect(times * longest).toBeGreaterThan(room / 2.6)
          expect([1, 2, 5]).toContain(Number((times / 10 ** Math.floor(Math.log10(times) + 1e-9)).toFixed(6)))
        }
      },
    ),
    { seed: 5 },
  )
  expect(magnification(0, 60)).toBeNull()
})
