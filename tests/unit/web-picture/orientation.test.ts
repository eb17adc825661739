import { expect, test } from 'vitest'
import { displayedSize, turnMatrix, turnedOnce, wholeTurn } from '../../../web/picture/orientation.ts'

const coded = { width: 640, height: 360 }
const apply = ([a, b, c, d, e, f]: readonly number[], x: number, y: number) => ({
  x: a! * x + c! * y + e!,
  y: b! * x + d! * y + f!,
})

test('every turn maps the coded frame exactly onto the displayed picture', () => {
  for (const turn of [0, 90, 180, 270] as const) {
    const size = displayedSize(coded, turn)
    const corners = [
      [0, 0],
      [640, 0],
      [640, 360],
      [0, 360],
    ].map(([x, y]) => apply(turnMatrix(coded, turn), x!, y!))
    expect(Math.min(...corners.map((p) => p.x))).toBe(0)
    expect(Math.min(...corners.map((p) => p.y))).toBe(0)
    expect(Math.max(...corners.map((p) => p.x))).toBe(size.width)
    expect(Math.max(...corners.map((p) => p.y))).toBe(size.height)
  }
})

test('90 is clockwise: the top left corner goes to the top right', () => {
  expect(apply(turnMatrix(coded, 90), 0, 0)).toEqual({ x: 360, y: 0 })
})

test('turning marks one quarter further agrees with drawing one quarter further', () => {
  for (const turn of [0, 90, 180, 270] as const) {
    const on = apply(turnMatrix(coded, turn), 100, 40)
    const further = apply(turnMatrix(coded, wholeTurn(turn, 90)), 100, 40)
    expect(turnedOnce(on, displayedSize(coded, turn))).toEqual(further)
  }
})
