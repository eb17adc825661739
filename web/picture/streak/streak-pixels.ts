/** Colours a sheet is drawn with, as red, green, blue 0 … 255. */
export interface SheetColours {
  readonly ground: readonly [number, number, number]
  readonly unread: readonly [number, number, number]
}

/** Differences from the empty lane shown this much stronger than they are. */
const strength = 1.5
/** Value of a cell that equals the empty lane, and of one that was not read. */
const equal = 128
const unread = 0

/** Pixels of a streak sheet: the empty lane is ground, what is darker or lighter than it goes towards black or white. */
export function streakPixels(value: Uint8Array, colours: SheetColours): Uint8ClampedArray<ArrayBuffer> {
  const pixels = new Uint8ClampedArray(4 * value.length)
  for (let i = 0; i < value.length; i++) {
    const v = value[i]!
    const from = v === unread ? colours.unread : colours.ground
    const off = v === unread ? 0 : strength * (v - equal)
    for (let c = 0; c < 3; c++) pixels[4 * i + c] = from[c]! + off
    pixels[4 * i + 3] = 255
  }
  return pixels
}

/** Red, green, blue of a six-digit colour token. */
export function rgbOf(token: string): [number, number, number] {
  const value = Number.parseInt(token.trim().replace('#', ''), 16)
  return Number.isFinite(value) ? [(value >> 16) & 255, (value >> 8) & 255, value & 255] : [128, 128, 128]
}
