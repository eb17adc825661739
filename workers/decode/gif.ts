/** Frames of an animated GIF, from its blocks. */
export interface GifTimes {
  readonly width: number
  readonly height: number
  /** How long each frame is shown, in hundredths of a second. */
  readonly delays_cs: readonly number[]
  /** False when the file ends before its trailer. */
  readonly complete: boolean
}

/** Delay taken for frames that state less than 0.02 s. Source: common practice of players, no source. */
const shortestDelay_cs = 2
const assumedDelay_cs = 10

/** Reads sizes and delays of all frames of a GIF, or null when the bytes are none.
 *  Source: Graphics Interchange Format version 89a, sections 18, 20 and 23. */
export function readGif(bytes: Uint8Array): GifTimes | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  if (bytes.length < 13 || bytes[0] !== 0x47 || bytes[1] !== 0x49 || bytes[2] !== 0x46) return null
  const width = view.getUint16(6, true)
  const height = view.getUint16(8, true)
  const delays: number[] = []
  let delay = 0
  let at = 13 + colorTableBytes(bytes[10] ?? 0)
  while (at < bytes.length) {
    const block = bytes[at]
    if (block === 0x3b) return { width, height, delays_cs: delays, complete: true }
    if (block === 0x21) {
      if (bytes[at + 1] === 0xf9 && at + 6 < bytes.length) delay = view.getUint16(at + 4, true)
      at = skipSubBlocks(bytes, at + 2)
    } else if (block === 0x2c) {
      const data = at + 10 + colorTableBytes(bytes[at + 9] ?? 0) + 1
      at = skipSubBlocks(bytes, data)
      if (at > bytes.length) break
      delays.push(delay < shortestDelay_cs ? assumedDelay_cs : delay)
      delay = 0
    } else break
  }
  return { width, height, delays_cs: delays, complete: false }
}

const colorTableBytes = (flags: number): number => ((flags & 0x80) !== 0 ? 3 * 2 ** ((flags & 7) + 1) : 0)

/** Position behind a chain of sub-blocks; beyond the end when the chain is cut off. */
function skipSubBlocks(bytes: Uint8Array, from: number): number {
  let at = from
  for (;;) {
    const length = bytes[at]
    if (length === undefined) return bytes.length + 1
    at += length + 1
    if (length === 0) return at
  }
}
