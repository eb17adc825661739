import { produce, type Draft } from 'immer'
import { describe, expect, test } from 'vitest'
import {
  laneGeometry,
  offLine,
  outsideRegion,
  planeMapOf,
  planeReport,
  sentenceFor,
  sentenceForBar,
  sentenceForLevel,
  sentenceForRegion,
  slopeReport,
  tapeReport,
} from '../../../workers/measure/index.ts'
import { noDeviations, type SlowlaneRecord, type View } from '../../../workers/record/index.ts'
import { barFault, lengthFault, stepFault } from '../../../web/stations/scale/sentences.ts'
import { exact, rectangleOf, sceneRecord } from '../measure/scene.ts'
import { frontal, see } from '../measure/pinhole.ts'

const look = (x: number, y: number, z = 0) => see(frontal, [x, y, z])
const changed = (recipe: (view: Draft<View>, record: Draft<SlowlaneRecord>) => void) =>
  produce(sceneRecord(), (draft) => recipe(draft.views['v']!, draft))
const planeSays = (record: SlowlaneRecord): string => {
  const map = planeMapOf(record, record.views['v']!, 'p', noDeviations)
  if (map.kind === 'plane') throw new Error('this plane should not stand')
  return sentenceFor(map)
}
const corners = (...at: (readonly [number, number])[]) =>
  changed((view) => {
    const plane = view.planes['p']
    if (plane?.kind !== 'rectangle') throw new Error('the scene has a rectangle')
    plane.corners = at.map(([x, y]) => ({ x, y })) as typeof plane.corners
  })

describe('each bad input is told with its value and what to do', () => {
  test('three corners on one line', () => {
    expect(planeSays(corners([0, 0], [200, 0], [400, 0], [0, 300]))).toMatch(/on one line.*Drag the corners/)
  })
  test('crossed corners', () => {
    expect(planeSays(corners([0, 0], [400, 300], [400, 0], [0, 300]))).toMatch(/cross each other.*going round/)
  })
  test('a bar shorter than 20 px, while it is placed and in the record', () => {
    expect(barFault({ x: 10, y: 10 }, { x: 25, y: 10 })).toMatch(/15 px apart; 20 are needed.*longer bar/)
    expect(barFault({ x: 10, y: 10 }, { x: 30, y: 10 })).toBeUndefined()
    const record = changed((view) => {
      view.planes['p'] = {
        kind: 'bars',
        id: 'p',
        name: 'bar',
        bars: [{ id: 'b', a: { x: 10, y: 10 }, b: { x: 25, y: 10 }, length_m: exact(0.1) }],
      }
    })
    expect(planeSays(record)).toMatch(/15 px long in the picture; 20 px are needed/)
  })
  test('a lane line far outside what its plane’s corners surround', () => {
    const record = changed((view) => {
      view.planes['p'] = rectangleOf(look, 0.08, -0.1, 0.06, 0.05)
    })
    const region = outsideRegion(record, 'v', 'A')
    expect(region && sentenceForRegion(region)).toMatch(/% of the lane line lies outside.*larger rectangle/)
  })
  test('sides that contradict a bar in the same plane, by how much', () => {
    const record = changed((view) => {
      const plane = view.planes['p']
      if (plane?.kind !== 'rectangle') throw new Error('the scene has a rectangle')
      plane.checks = [{ id: 'c', a: look(0.1, 0), b: look(0.4, 0), length_m: exact(0.31) }]
    })
    const report = planeReport(record, 'v', 'p')
    if (report.kind !== 'plane-report') throw new Error(report.kind)
    expect(sentenceForBar(report.checks[0]!)).toMatch(/should be 310 mm and reads 300 mm: −3.2 %/)
  })
  test('a plumb line along the lane, and one square to it', () => {
    const along = changed((view, record) => {
      view.gravity = [{ id: 'g', kind: 'plumb', a: look(0.1, 0), b: look(0.4, 0.01), planeId: null }]
      record.mountings['m']!.slope = { kind: 'from-picture', viewId: 'v' }
    })
    const found = slopeReport(along, 'm')
    if (found.kind === 'slope-report') throw new Error('this slope should be refused')
    expect(sentenceFor(found)).toMatch(/beyond ± 45°.*Check the plumb line/)
    const square = changed((view, record) => {
      const line = view.lines['A']!
      line.points = [look(0.05, 0), look(0.55, 0)]
      view.gravity = [{ id: 'g', kind: 'plumb', a: look(0.3, -0.1), b: look(0.3, 0.1), planeId: null }]
      record.mountings['m']!.slope = { kind: 'from-picture', viewId: 'v' }
    })
    const level = slopeReport(square, 'm')
    if (level.kind !== 'slope-report') throw new Error(level.kind)
    expect(sentenceForLevel(level)).toMatch(/square to the lane.*longer string/)
  })
  test('lengths and distances that are not positive', () => {
    expect(lengthFault(-0.3)).toMatch(/−300 mm cannot be/)
    expect(lengthFault(0.3)).toBeUndefined()
    expect(stepFault(0)).toMatch(/0 mm apart/)
    const away = changed((view) => {
      view.distance_m = exact(-1)
      view.lines['A']!.nearer_m = exact(0.01)
    })
    const geometry = laneGeometry(away, 'v', 'A', noDeviations)
    if (geometry.kind === 'lane') throw new Error('this distance should be refused')
    expect(sentenceFor(geometry)).toMatch(/-1000 mm.*greater than 0/)
  })
  test('a tick with another’s number, by how many mm', () => {
    const record = changed((view) => {
      const at = [0, 0.1, 0.2, 0.3, 0.4, 0.5]
      view.lines['A']!.ticks = at.map((s) => ({
        at: look(0.05 + s * Math.cos(0.035), s * Math.sin(0.035)),
        s_m: s === 0.3 ? 0.32 : s,
      }))
    })
    const report = tapeReport(record, 'v', 'A')
    if (report.kind !== 'tape-report') throw new Error(report.kind)
    expect(report.worst?.i).toBe(3)
    expect(Math.abs(1000 * report.worst!.off_m!)).toBeGreaterThan(15)
  })
  test('a mark far off its line, and only that one', () => {
    const record = changed((_, draft) => {
      draft.runs['run']!.marks.y[7]! += 30
    })
    const { marks, runs } = offLine(record, 'v', 'A')
    expect(marks.map((mark) => mark.mark)).toEqual([7])
    expect(runs).toEqual([])
    expect(offLine(sceneRecord(), 'v', 'A').marks).toEqual([])
  })
})
