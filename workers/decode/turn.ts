/** A rectangle in coded pixels (before rotation), x right, y down, corners on whole pixels. */
export interface Rect {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}

/** How a coded frame is turned to be looked at: size before turning, clockwise turn, then mirrored left to right. */
export interface Turn {
  readonly width: number
  readonly height: number
  readonly rotation_deg: 0 | 90 | 180 | 270
  readonly mirrored: boolean
}

export interface Point {
  readonly x: number
  readonly y: number
}

/** Size of the displayed picture [px]. */
export function displayedSize(turn: Turn): { readonly width: number; readonly height: number } {
  const lying = turn.rotation_deg === 90 || turn.rotation_deg === 270
  return lying ? { width: turn.height, height: turn.width } : { width: turn.width, height: turn.height }
}

/** Place in the displayed picture of a place in the coded frame [px, pixel centres at .5]. */
export function toDisplayed(turn: Turn, coded: Point): Point {
  const turned = turnBy(turn, coded)
  return turn.mirrored ? { x: displayedSize(turn).width - turned.x, y: turned.y } : turned
}

/** Place in the coded frame of a place in the displayed picture [px, pixel centres at .5]. */
export function toCoded(turn: Turn, displayed: Point): Point {
  const { x, y } = turn.mirrored ? { x: displayedSize(turn).width - displayed.x, y: displayed.y } : displayed
  switch (turn.rotation_deg) {
    case 0:
      return { x, y }
    case 90:
      return { x: y, y: turn.height - x }
    case 180:
      return { x: turn.width - x, y: turn.height - y }
    case 270:
      return { x: turn.width - y, y: x }
  }
}

function turnBy(turn: Turn, { x, y }: Point): Point {
  switch (turn.rotation_deg) {
    case 0:
      return { x, y }
    case 90:
      return { x: turn.height - y, y: x }
    case 180:
      return { x: turn.width - x, y: turn.height - y }
    case 270:
      return { x: y, y: turn.width - x }
  }
}

/** The rectangle of the coded frame that is displayed as this rectangle. */
export function codedRect(turn: Turn, displayed: Rect): Rect {
  const a = toCoded(turn, displayed)
  const b = toCoded(turn, { x: displayed.x + displayed.width, y: displayed.y + displayed.height })
  return { x: Math.min(a.x, b.x), y: Math.min(a.y, b.y), width: Math.abs(a.x - b.x), height: Math.abs(a.y - b.y) }
}
