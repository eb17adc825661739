import fc from 'fast-check'
import { expect, test } from 'vitest'
import {
  fitted,
  greatestScale,
  isFitted,
  panned,
  showing,
  toPicture,
  toStage,
  zoomed,
} from '../../../web/picture/sight.ts'

const size = fc.record({ width: fc.integer({ min: 16, max: 4096 }), height: fc.integer({ min: 16, max: 4096 }) })
const stageSize = fc.record({ width: fc.integer({ min: 200, max: 3840 }), height: fc.integer({ min: 120, max: 2160 }) })
const share = fc.double({ min: 0, max: 1, noNaN: true })

test('a fitted picture lies whole and centred on the stage', () => {
  fc.assert(
    fc.property(size, stageSize, (picture, stage) => {
      const sight = fitted(picture, stage)
      const corner = toStage(sight, { x: picture.width, y: picture.height })
      expect(sight.x).toBeGreaterThanOrEqual(-1e-9)
      expect(sight.y).toBeGreaterThanOrEqual(-1e-9)
      expect(corner.x).toBeCloseTo(stage.width - sight.x, 6)
      expect(corner.y).toBeCloseTo(stage.height - sight.y, 6)
      expect(Math.min(sight.x, sight.y)).toBeCloseTo(0, 6)
    }),
    { seed: 1 },
  )
})

test('stage and picture points turn into each other whatever the sight', () => {
  fc.assert(
    fc.property(size, stageSize, share, share, fc.double({ min: 0.1, max: 50, noNaN: true }), (p, s, u, v, factor) => {
      const sight = zoomed(fitted(p, s), factor, { x: u * s.width, y: v * s.height }, p, s)
      const at = { x: u * p.width, y: v * p.height }
      const back = toPicture(sight, toStage(sight, at))
      expect(back.x).toBeCloseTo(at.x, 6)
      expect(back.y).toBeCloseTo(at.y, 6)
    }),
    { seed: 2 },
  )
})

test('zooming into the middle of a large picture keeps the point under the pointer', () => {
  const picture = { width: 1920, height: 1080 }
  const stage = { width: 960, height: 540 }
  const at = { x: 480, y: 270 }
  const before = fitted(picture, stage)
  const after = zoomed(before, 3, at, picture, stage)
  expect(toPicture(after, at)).toEqual(toPicture(before, at))
  expect(after.scale).toBeCloseTo(1.5, 12)
})

test('no zoom leaves the range and no pan opens an empty border', () => {
  fc.assert(
    fc.property(
      size,
      stageSize,
      fc.array(fc.double({ min: 0.1, max: 20, noNaN: true }), { maxLength: 8 }),
      (p, s, factors) => {
        let sight = fitted(p, s)
        const least = sight.scale
        for (const factor of factors) {
          sight = zoomed(sight, factor, { x: s.width / 3, y: s.height / 4 }, p, s)
          sight = panned(sight, factor * 400, -factor * 900, p, s)
          expect(sight.scale).toBeGreaterThanOrEqual(least * (1 - 1e-12))
          expect(sight.scale).toBeLessThanOrEqual(Math.max(greatestScale, least) * (1 + 1e-12))
          const corner = toStage(sight, { x: p.width, y: p.height })
          if (sight.scale * p.width > s.width + 1e-6) {
            expect(sight.x).toBeLessThanOrEqual(1e-6)
            expect(corner.x).toBeGreaterThanOrEqual(s.width - 1e-6)
          }
        }
      },
    ),
    { seed: 3 },
  )
})

test('a point out of view comes into view by the shortest way', () => {
  const picture = { width: 2000, height: 1000 }
  const stage = { width: 500, height: 250 }
  const close = zoomed(fitted(picture, stage), 8, { x: 0, y: 0 }, picture, stage)
  const there = showing(close, { x: 1500, y: 800 }, picture, stage)
  const on = toStage(there, { x: 1500, y: 800 })
  expect(on.x).toBeCloseTo(460, 6)
  expect(on.y).toBeCloseTo(210, 6)
  expect(isFitted(there, picture, stage)).toBe(false)
})

test('a stage without size gives a sight that does no harm', () => {
  expect(fitted({ width: 100, height: 50 }, { width: 0, height: 0 })).toEqual({ scale: 1, x: 0, y: 0 })
})
