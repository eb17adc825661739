import type { Px } from '../../workers/record/index.ts'
import type { Size } from './sight.ts'

export type QuarterTurn = 0 | 90 | 180 | 270

/** Clockwise turn of the displayed picture against the coded one: what the file asks for, then what the person asked for. */
export const wholeTurn = (rotation: QuarterTurn, turn: QuarterTurn): QuarterTurn =>
  ((rotation + turn) % 360) as QuarterTurn

/** Size of the displayed picture of a coded frame after a clockwise turn. */
export const displayedSize = (coded: Size, turn: QuarterTurn): Size =>
  turn % 180 === 0 ? coded : { width: coded.height, height: coded.width }

/** Matrix (a, b, c, d, e, f of a canvas) that draws a coded frame of this size turned clockwise, its corner at the origin. */
export function turnMatrix(coded: Size, turn: QuarterTurn): [number, number, number, number, number, number] {
  switch (turn) {
    case 0:
      return [1, 0, 0, 1, 0, 0]
    case 90:
      return [0, 1, -1, 0, coded.height, 0]
    case 180:
      return [-1, 0, 0, -1, coded.width, coded.height]
    case 270:
      return [0, -1, 1, 0, 0, coded.width]
  }
}

/** Where a point of the displayed picture goes when the picture is turned a further 90° clockwise. */
export const turnedOnce = (at: Px, before: Size): Px => ({ x: before.height - at.y, y: at.x })
