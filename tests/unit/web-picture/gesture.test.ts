import { expect, test } from 'vitest'
import { atRest, gestureStep, type Effect, type Gesture, type PointerNews } from '../../../web/picture/gesture.ts'

function play(...news: PointerNews[]): { effects: Effect[]; end: Gesture } {
  let state = atRest
  const effects: Effect[] = []
  for (const item of news) {
    const step = gestureStep(state, item)
    state = step.next
    effects.push(...step.effects)
  }
  return { effects, end: state }
}
const down = (
  pointer: number,
  x: number,
  y: number,
  more: Partial<Extract<PointerNews, { kind: 'down' }>> = {},
): PointerNews => ({
  kind: 'down',
  pointer,
  at: { x, y },
  touch: false,
  pans: false,
  hit: null,
  places: false,
  ...more,
})
const move = (pointer: number, x: number, y: number): PointerNews => ({ kind: 'move', pointer, at: { x, y } })
const up = (pointer: number, x: number, y: number): PointerNews => ({ kind: 'up', pointer, at: { x, y } })

test('a press that drags through the loupe places once, where it is let go', () => {
  const { effects, end } = play(down(1, 10, 10, { places: true }), move(1, 14, 12), up(1, 15, 12))
  expect(effects).toEqual([
    { kind: 'aim', at: { x: 10, y: 10 } },
    { kind: 'aim', at: { x: 14, y: 12 } },
    { kind: 'place', at: { x: 15, y: 12 } },
  ])
  expect(end).toBe(atRest)
})

test('a cancelled press places nothing', () => {
  const { effects } = play(down(1, 10, 10, { places: true, touch: true }), { kind: 'cancel', pointer: 1 })
  expect(effects.at(-1)).toEqual({ kind: 'discard' })
  expect(effects.some((e) => e.kind === 'place')).toBe(false)
})

test('a cancelled drag of a handle is dropped nowhere', () => {
  const hit = { handle: 'corner 1', at: { x: 12, y: 9 } }
  const { effects } = play(down(1, 10, 10, { hit }), move(1, 60, 60), { kind: 'cancel', pointer: 1 })
  expect(effects.map((e) => e.kind)).toEqual(['select', 'drag', 'discard'])
})

test('a handle keeps its distance from the finger that took it', () => {
  const hit = { handle: 'corner 1', at: { x: 12, y: 9 } }
  const { effects } = play(down(1, 10, 10, { hit }), move(1, 60, 60), up(1, 61, 60))
  expect(effects.at(-1)).toEqual({ kind: 'drop', handle: 'corner 1', to: { x: 63, y: 59 } })
})

test('taking a handle without moving it selects it and moves nothing', () => {
  const hit = { handle: 'corner 1', at: { x: 12, y: 9 } }
  const { effects } = play(down(1, 10, 10, { hit }), move(1, 11, 11), up(1, 11, 11))
  expect(effects).toEqual([{ kind: 'select', handle: 'corner 1' }])
})

test('a second finger turns placing into a pinch, and the last finger to leave places nothing', () => {
  const { effects, end } = play(
    down(1, 100, 100, { places: true, touch: true }),
    down(2, 200, 100, { places: true, touch: true }),
    move(2, 300, 100),
    up(2, 300, 100),
    move(1, 120, 130),
    up(1, 120, 130),
  )
  expect(effects.map((e) => e.kind)).toEqual(['aim', 'discard', 'pinch'])
  expect(effects[2]).toEqual({ kind: 'pinch', factor: 2, about: { x: 200, y: 100 }, dx: 50, dy: 0 })
  expect(end).toBe(atRest)
})

test('a drag on nothing pans by what the pointer moved', () => {
  const { effects } = play(down(1, 0, 0), move(1, 10, 5), move(1, 12, 5), up(1, 12, 5))
  expect(effects).toEqual([
    { kind: 'pan', dx: 10, dy: 5 },
    { kind: 'pan', dx: 2, dy: 0 },
  ])
})

test('a stranger pointer neither moves nor ends a gesture', () => {
  const { effects, end } = play(down(1, 10, 10, { places: true }), move(7, 90, 90), up(7, 90, 90))
  expect(effects).toHaveLength(1)
  expect(end.kind).toBe('placing')
})
