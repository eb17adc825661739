import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { ensureScene } from '../../../samples/scenes.ts'
import { readSceneTruth, readTruth, type ClipTruth } from '../../support/clip-truth.ts'
import { longRun } from '../../support/long-run.ts'
import { openNativeLuma } from '../../support/native-luma.ts'
import { renderedSource, type RenderedScene } from '../../support/rendered-lane.ts'
import { settleClick, type Settled, type Unsure } from '../../../workers/locate/settle-click.ts'
import { unsureSentence } from '../../../workers/locate/sentences.ts'
import type { Luma } from '../../../workers/locate/frame-source.ts'

function shot(scene: Partial<RenderedScene> & { balls: RenderedScene['balls'] }): Luma {
  const luma = renderedSource({ width: 160, height: 120, frames: 1, noise: 1.5, ...scene }).luma(0)
  if (luma instanceof Promise) throw new Error('rendered frames are there at once')
  return luma
}

const ball = (
  x: number,
  y: number,
  radius: number,
  level: number,
  more: object = {},
): RenderedScene['balls'][number] => {
  return { radius, level, at: () => ({ x, y }), ...more }
}

function off(outcome: Settled | Unsure, x: number, y: number): number {
  return outcome.kind === 'settled' ? Math.hypot(outcome.x - x, outcome.y - y) : Infinity
}

async function filmed(name: string): Promise<{ clip: string; truth: ClipTruth }> {
  if (name === 'clip b') {
    const base = new URL('../../data/clips/b_three_as_cut', import.meta.url).pathname
    return { clip: `${base}.mp4`, truth: readTruth(`${base}.truth.json`) }
  }
  const scene = await ensureScene(name)
  return { clip: scene.clip, truth: await readSceneTruth(scene.truth) }
}

const kinds: [string, Partial<RenderedScene> & { balls: RenderedScene['balls'] }, number][] = [
  ['a dark ball', { balls: [ball(80.3, 60.7, 16, 60)] }, 0.2],
  ['a bright ball', { balls: [ball(80.3, 60.7, 16, 240)] }, 0.2],
  ['a ball whose lower part the groove hides', { balls: [ball(80.3, 60.7, 16, 60)], lipRow: 66 }, 0.3],
  ['a highlight that is not the centre', { balls: [ball(80.3, 60.7, 16, 70, { highlight: 250 })], lipRow: 68 }, 0.25],
  [
    'a white spot',
    { balls: [ball(80.3, 60.7, 16, 60, { spot: { share: 0.4, radius: 5, level: 235, perRadian_px: 12 } })] },
    0.25,
  ],
  ['glass', { balls: [ball(80.3, 60.7, 16, 90, { clear: 0.85 })] }, 0.5],
  ['motion blur of 5 px', { balls: [ball(80.3, 60.7, 16, 60)], smear: 5 }, 0.5],
  ['noise of 8 grey levels', { balls: [ball(80.3, 60.7, 16, 60)], noise: 8 }, 0.4],
  ['a large ball', { balls: [ball(80.3, 60.7, 40, 60)], lipRow: 80 }, 0.3],
  ['a small ball', { balls: [ball(80.3, 60.7, 7, 60)] }, 0.25],
]

describe('a settled click', () => {
  test.each(kinds)('finds the centre of %s from any click within 0.4 radii, in one frame alone', (_, scene, limit) => {
    const luma = shot(scene)
    const radius = scene.balls[0]!.radius
    for (const [dx, dy] of [
      [0, 0],
      [0.35, 0.1],
      [-0.3, 0.25],
      [0.05, -0.38],
    ] as const) {
      const outcome = settleClick(luma, { x: 80.3 + dx * radius, y: 60.7 + dy * radius })
      expect(off(outcome, 80.3, 60.7), JSON.stringify(outcome)).toBeLessThan(limit)
      if (outcome.kind === 'settled') expect(Math.abs(outcome.radius - radius)).toBeLessThan(0.05 * radius + 0.5)
    }
  })

  test('states a σ that covers its error: 2σ holds for 90 % of random balls', () => {
    let held = 0
    let count = 0
    fc.assert(
      fc.property(
        fc.double({ min: 70, max: 90, noNaN: true }),
        fc.double({ min: 50, max: 70, noNaN: true }),
        fc.double({ min: 9, max: 22, noNaN: true }),
        fc.integer({ min: 1, max: 1000 }),
        (x, y, radius, seed) => {
          const outcome = settleClick(shot({ balls: [ball(x, y, radius, 70)], lipRow: y + 0.45 * radius, seed }), {
            x: x + 2,
            y: y - 1,
          })
          if (outcome.kind !== 'settled') return
          count++
          if (Math.abs(outcome.x - x) <= 2 * outcome.sigma.x) held++
        },
      ),
      { seed: 5, numRuns: 60 },
    )
    expect(count).toBeGreaterThanOrEqual(55)
    expect(held / count).toBeGreaterThan(0.9)
  })

  test('moving ball and click by the same whole pixels moves the answer by just that', () => {
    fc.assert(
      fc.property(fc.integer({ min: -20, max: 20 }), fc.integer({ min: -15, max: 15 }), (dx, dy) => {
        const at = (ox: number, oy: number): Luma => {
          return shot({ noise: 0, plain: true, balls: [ball(80.3 + ox, 60.7 + oy, 14, 60)] })
        }
        const here = settleClick(at(0, 0), { x: 82, y: 59 })
        const there = settleClick(at(dx, dy), { x: 82 + dx, y: 59 + dy })
        expect(here.kind).toBe('settled')
        expect(there.kind).toBe('settled')
        if (here.kind !== 'settled' || there.kind !== 'settled') return
        expect(there.x - here.x).toBeCloseTo(dx, 2)
        expect(there.y - here.y).toBeCloseTo(dy, 2)
      }),
      { seed: 3, numRuns: 12 },
    )
  })

  test('never jumps to another ball: two touching balls, clicks all along between them', () => {
    const luma = shot({ balls: [ball(62, 60, 16, 60), ball(94, 60, 16, 60)] })
    for (let x = 62; x <= 94; x += 2) {
      const outcome = settleClick(luma, { x, y: 60 }, { expectedRadius: 16 })
      if (outcome.kind === 'settled') expect(Math.abs(outcome.x - (x < 78 ? 62 : 94))).toBeLessThan(1)
      if (outcome.kind === 'settled') expect(Math.abs(outcome.x - x)).toBeLessThanOrEqual(0.75 * 16 + 0.5)
    }
    expect(settleClick(luma, { x: 78, y: 60 }, { expectedRadius: 16 }).kind).toBe('unsure')
  })

  test('says that it is unsure, in a sentence, where there is no ball', () => {
    const outcome = settleClick(shot({ balls: [] }), { x: 80, y: 60 })
    expect(outcome.kind).toBe('unsure')
    if (outcome.kind === 'unsure') expect(unsureSentence(outcome)).toMatch(/by hand|nearer/)
  })

  test('works on a picture stored turned, and in 10 bits', () => {
    for (const rotation of [90, 180, 270] as const) {
      const luma = shot({ balls: [ball(80.3, 60.7, 16, 60)], rotation, bitDepth: 10 })
      expect(off(settleClick(luma, { x: 82, y: 58 }, { rotation }), 80.3, 60.7)).toBeLessThan(0.2)
    }
  })

  test('on polished steel before dark posts an answer is sure or says that it is not: no error beyond 3 of its σ', async () => {
    // Clip c of tests/data/clips/README.md, rendered by a program that shares no code with this one, ball A1 on every eighth frame.
    const clip = new URL('../../data/clips/c_three_sanded', import.meta.url).pathname
    const truth = readTruth(`${clip}.truth.json`)
    const source = openNativeLuma(`${clip}.mp4`)
    const errors: number[] = []
    let looked = 0
    for (let frame = 2; frame < source.frameCount; frame += 8) {
      const at = truth.frames[frame]?.balls.find((b) => b.id === 'A1' && b.state === 'visible')
      if (!at) continue
      looked++
      const near = { x: at.ox + (((frame * 7) % 9) - 4), y: at.oy + (((frame * 5) % 7) - 3) }
      const outcome = settleClick(await source.luma(frame), near, { expectedRadius: at.r })
      if (outcome.kind === 'settled') errors.push(Math.abs(outcome.x - at.ox) / outcome.sigma.x)
    }
    source.close()
    expect(errors.length).toBeGreaterThan(0.8 * looked)
    expect(errors.filter((e) => e <= 2).length).toBeGreaterThanOrEqual(0.9 * errors.length)
    expect(Math.max(...errors)).toBeLessThan(3)
  })

  // Where the size is not known a spotted ball shows many circles; of a pale one, whose outline all but vanishes, some still pass for it. Scenes of the
  // project's own renderer; clip b is of another (see above).
  test.each(longRun ? ['clip b', 'clean', 'pale-ball', 'posts', 'seven-balls'] : ['clip b'])(
    'of a ball whose size is not known is right or says that it is unsure: %s',
    async (name) => {
      const { clip, truth } = await filmed(name)
      const source = openNativeLuma(clip)
      let [clicks, settled, wrong] = [0, 0, 0]
      for (let frame = 0; frame < source.frameCount; frame += 14) {
        for (const at of truth.frames[frame]?.balls ?? []) {
          if (at.state !== 'visible') continue
          clicks++
          const near = { x: at.ox + (((frame * 7) % 9) - 4) / 2, y: at.oy + (((frame * 5) % 7) - 3) / 2 }
          const outcome = settleClick(await source.luma(frame), near)
          if (outcome.kind !== 'settled') continue
          settled++
          if (off(outcome, at.ox, at.oy) > 2) wrong++
        }
      }
      source.close()
      console.log(`${name}: ${clicks} clicks, ${settled} settled, ${wrong} of them off by more than 2 px`)
      expect(wrong).toBeLessThanOrEqual((name === 'pale-ball' ? 0.2 : 0.02) * clicks)
      if (name === 'clip b') expect(settled).toBeGreaterThan(0.7 * clicks)
    },
  )

  test('uses the empty picture where the background is busy', () => {
    const busy = (_: number, x: number, y: number, value: number): number => {
      return value > 120 ? value - ((Math.floor(x / 12) + Math.floor(y / 12)) % 2 === 0 ? 45 : 0) : value
    }
    const luma = shot({ balls: [ball(80.3, 60.7, 16, 40)], over: busy })
    const background = shot({ balls: [], over: busy })
    expect(off(settleClick(luma, { x: 84, y: 63 }, { background, expectedRadius: 16 }), 80.3, 60.7)).toBeLessThan(0.5)
  })
})
