// A frame number drawn as a row of black and white bars: two bars of reference, 16 bits of number, 8 bits of check sum.
// Shared by the generator (Node) and the reading page (browser): no import, no environment.

export const barcodeCells = 26

/** The part of a picture that the bars fill. */
export interface BarcodeArea {
  readonly x: number
  readonly y: number
  readonly cellWidth: number
  readonly height: number
}

export function barcodeArea(width: number, height: number): BarcodeArea {
  const cellWidth = Math.floor(width / barcodeCells)
  return {
    x: Math.floor((width - cellWidth * barcodeCells) / 2),
    y: Math.floor(height / 3),
    cellWidth,
    height: Math.floor(height / 3),
  }
}

/** CRC-8 with polynomial x⁸ + x² + x + 1. */
function checkSum(number: number): number {
  let crc = 0xa5
  for (const byte of [number >> 8, number & 0xff]) {
    crc ^= byte
    for (let bit = 0; bit < 8; bit++) crc = (crc & 0x80) !== 0 ? ((crc << 1) ^ 0x07) & 0xff : (crc << 1) & 0xff
  }
  return crc
}

/** Whether each bar is white, for a frame number of 0 … 65535. */
export function barcodeBars(number: number): boolean[] {
  const bits = (number << 8) | checkSum(number)
  const bars = [true, false]
  for (let bit = 23; bit >= 0; bit--) bars.push(((bits >> bit) & 1) === 1)
  return bars
}

/** Reads the number from brightness samples, or null when no valid bar code is there. */
export function readBarcode(sample: (x: number, y: number) => number, width: number, height: number): number | null {
  const area = barcodeArea(width, height)
  const levels: number[] = []
  for (let cell = 0; cell < barcodeCells; cell++) {
    let sum = 0
    let count = 0
    for (let y = area.y + (area.height >> 2); y < area.y + area.height - (area.height >> 2); y++) {
      const from = area.x + cell * area.cellWidth
      for (let x = from + (area.cellWidth >> 2); x < from + area.cellWidth - (area.cellWidth >> 2); x++) {
        sum += sample(x, y)
        count += 1
      }
    }
    levels.push(sum / count)
  }
  const [white = 0, black = 0, ...rest] = levels
  const threshold = (white + black) / 2
  if (!(white - black > 0.2 * Math.max(white, 1))) return null
  let bits = 0
  for (const level of rest) bits = (bits << 1) | (level > threshold ? 1 : 0)
  const number = (bits >> 8) & 0xffff
  return (bits & 0xff) === checkSum(number) ? number : null
}
