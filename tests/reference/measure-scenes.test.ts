import { beforeAll, describe, expect, test } from 'vitest'
import { ensureScene } from '../../samples/scenes.ts'
import type { LaneLine, Px, Source, View } from '../../workers/record/index.ts'
import { point } from '../support/scene-lane.ts'
import { click_px, read, rectangle, staged, type Staged } from '../support/staged-scene.ts'
import { exact, seeded } from '../unit/measure/scene.ts'

// The clips' pixels are read by measure-scene-pixels and by the tests of locating.

const source = (id: string, unit: Source['unit'], half: number): Source => ({
  id,
  name: id,
  unit,
  distribution: { kind: 'rectangular', half },
})

function tape({ truth, record }: Staged): LaneLine {
  const line = record.views['v']!.lines['A']!
  return {
    ...line,
    planeId: null,
    ticks: truth.lanes[0]!.ticks.map((tick) => ({ at: point(tick.centre_px), s_m: tick.s_m })),
  }
}

const edges = ({ truth }: Staged): View['lens'] => ({
  kind: 'edges',
  edges: truth.straight_edges.map((edge) => edge.px.map(point)),
})

/** Yaw and depth as a person would measure them: true to within what is stated. */
function measuredStand(stage: Staged, depth_m: number): void {
  const { record, raw } = stage
  const view = record.views['v']!
  for (const one of [source('yaw', 'rad', Math.PI / 180), source('depth', 'm', 0.001), source('distance', 'm', 0.02)])
    record.sources[one.id] = one
  view.yaw_rad = { value: ((raw.camera.yaw_deg + 0.4) * Math.PI) / 180, sources: ['yaw'] }
  view.distance_m = { value: view.distance_m.value + 0.008, sources: ['distance'] }
  view.lines['A']!.nearer_m = { value: depth_m, sources: ['depth'] }
}

const cases: readonly {
  readonly scene: string
  readonly by: string
  readonly misleads: boolean
  /** The correction is free of error, so that the length is too. */
  readonly free: boolean
  readonly correct: (stage: Staged) => void
}[] = [
  { scene: 'square-on', by: 'its bar', misleads: false, free: true, correct: () => undefined },
  {
    scene: 'yaw-5',
    by: 'a rectangle',
    misleads: true,
    free: true,
    correct: (stage) => {
      stage.record.views['v']!.planes['p'] = rectangle(stage)
    },
  },
  {
    scene: 'yaw-5',
    by: 'a tape of ticks',
    misleads: true,
    free: true,
    correct: (stage) => {
      stage.record.views['v']!.lines['A'] = tape(stage)
    },
  },
  {
    scene: 'yaw-5',
    by: 'its yaw as measured',
    misleads: true,
    free: false,
    correct: (stage) => measuredStand(stage, 0),
  },
  {
    scene: 'lens-k1',
    by: 'straight edges',
    misleads: true,
    free: true,
    correct: (stage) => {
      stage.record.views['v']!.lens = edges(stage)
    },
  },
  {
    scene: 'bar-behind-40',
    by: 'its depth as measured',
    misleads: true,
    free: false,
    correct: (stage) => measuredStand(stage, 0.0405),
  },
  {
    scene: 'all-together',
    by: 'straight edges, yaw and depth as measured',
    misleads: true,
    free: false,
    correct: (stage) => {
      stage.record.views['v']!.lens = edges(stage)
      measuredStand(stage, 0.0405)
    },
  },
  {
    scene: 'all-together',
    by: 'straight edges and a rectangle',
    misleads: true,
    free: true,
    correct: (stage) => {
      const view = stage.record.views['v']!
      view.lens = edges(stage)
      view.planes['p'] = rectangle(stage)
    },
  },
]

describe('scenes that would mislead', () => {
  beforeAll(async () => {
    // One after the other: each may have to be rendered.
    for (const name of new Set(cases.map(({ scene }) => scene))) await ensureScene(name)
  }, 600_000)

  test.each(cases)(
    '$scene, corrected by $by: length and C_rr within U',
    async ({ scene, by, misleads, free, correct }) => {
      const stage = await staged(scene, 7)
      const plain = read(stage)
      correct(stage)
      const put = read(stage)
      if (process.env['FIGURES']) console.log(scene, by, plain, put)
      expect(Math.abs(put.lengthOff)).toBeLessThan(put.lengthU)
      expect(Math.abs(put.crrOff)).toBeLessThan(put.crrU)
      if (free) {
        const quiet = await staged(scene, 7, 0)
        correct(quiet)
        expect(Math.abs(read(quiet).lengthOff)).toBeLessThan(1e-3)
      }
      if (misleads) expect(Math.abs(plain.lengthOff) > plain.lengthU || Math.abs(plain.crrOff) > plain.crrU).toBe(true)
    },
  )
})

describe('a lane bent in an arc, seen from above, with a tape of ticks', () => {
  const taped = async (everyTick: number, noise_px: number) => {
    const stage = await staged('curved-ticks', 9, noise_px)
    const { truth, record } = stage
    const uniform = seeded(31)
    const placed = ([x, y]: readonly [number, number]): Px => ({
      x: x + noise_px * uniform(),
      y: y + noise_px * uniform(),
    })
    const line = truth.lanes[0]!.line_px
    const view = record.views['v']!
    view.lines['A'] = {
      laneId: 'A',
      planeId: null,
      shape: 'curve',
      points: line.filter((_, i) => i % 5 === 0).map(placed),
      nearer_m: exact(0),
      ticks: truth.lanes[0]!.ticks.filter((_, i) => i % everyTick === 0).map((tick) => ({
        at: placed(tick.centre_px),
        s_m: tick.s_m,
      })),
    }
    return stage
  }

  test.each([1, 2])(
    'every tick of %d: arc length within 0.1 % and U, C_rr within U',
    async (everyTick) => {
      const quiet = read(await taped(everyTick, 0))
      const put = read(await taped(everyTick, click_px))
      if (process.env['FIGURES']) console.log('curved', everyTick, quiet, put)
      expect(Math.abs(quiet.lengthOff)).toBeLessThan(1e-3)
      expect(Math.abs(put.lengthOff)).toBeLessThan(put.lengthU)
      expect(Math.abs(put.crrOff)).toBeLessThan(put.crrU)
    },
    300_000,
  )

  test('fewer ticks state a larger U', async () => {
    const [dense, sparse] = [read(await taped(1, click_px)), read(await taped(5, click_px))]
    expect(sparse.lengthU).toBeGreaterThan(dense.lengthU)
    expect(Math.abs(sparse.lengthOff)).toBeLessThan(sparse.lengthU)
  }, 300_000)
})
