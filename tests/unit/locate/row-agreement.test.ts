import fc from 'fast-check'
import { expect, test } from 'vitest'
import { makeEdgePixels, type EdgePixels, type Side } from '../../../workers/locate/edge-pixels.ts'
import { RowAgreement } from '../../../workers/locate/row-agreement.ts'

interface Ball {
  readonly radius: number
  /** How far along and how much lower its centre lies than is assumed, px. */
  readonly along: number
  readonly lower: number
  /** Information of its rows, used in turns. */
  readonly info: readonly number[]
}

/** Rows .9 radii above the assumed centre to that centre, as fitted on one side of a true circle read `read` px lower than assumed. */
function fitted({ radius, along, lower, info }: Ball, side: Side, read: number): EdgePixels {
  const pixels = makeEdgePixels()
  let row = 0
  for (let height = -0.9 * radius; height <= 0; height++) {
    const true2 = radius ** 2 - (height + read - lower) ** 2
    if (true2 <= 0) continue
    const outwards = Math.sqrt(true2) - Math.sqrt(radius ** 2 - height ** 2)
    pixels.across[row] = height
    pixels.rowStart[row] = row
    pixels.work.rowInfo[row] = info[row % info.length]!
    pixels.work.rowPush[row] = info[row % info.length]! * (along + side * outwards)
    row++
  }
  pixels.rowCount = row
  pixels.rowStart[row] = row
  return pixels
}

function agreed(ball: Ball, spoil: (pixels: EdgePixels) => void = () => {}): number {
  let read = 0
  for (let round = 0; round < 4; round++) {
    const agreement = new RowAgreement()
    for (const side of [-1, 1] as const) {
      const pixels = fitted(ball, side, read)
      spoil(pixels)
      agreement.add(pixels, ball.radius, side)
    }
    read += agreement.lower()
  }
  return read
}

const balls = fc.record({
  radius: fc.double({ min: 7, max: 25, noNaN: true }),
  along: fc.double({ min: -0.5, max: 0.5, noNaN: true }),
  lower: fc.double({ min: -0.6, max: 0.6, noNaN: true }),
  info: fc.array(fc.double({ min: 0.1, max: 10, noNaN: true }), { minLength: 3, maxLength: 9 }),
})

test('a circle read too high or too low is put where its rows agree, wherever it is along the lane', () => {
  fc.assert(
    fc.property(balls, (ball) => {
      expect(agreed(ball)).toBeCloseTo(ball.lower, 1)
    }),
  )
})

test('a row that shows something else, or none, has no say', () => {
  const ball: Ball = { radius: 12, along: 0.1, lower: 0.4, info: [1] }
  const plain = agreed(ball)
  expect(plain).toBeCloseTo(0.4, 2)
  const spoilt = agreed(ball, ({ work }) => {
    work.rowPush[6] = 4
    work.rowInfo[8] = 0
  })
  expect(spoilt).toBeCloseTo(0.4, 2)
})

test('without rows nothing is moved', () => {
  expect(new RowAgreement().lower()).toBe(0)
})
