import type { Luma } from './frame-source.ts'

/** How the samples of a decoded picture lie in memory, in the words of WebCodecs, plus plain gray. */
export type SampleFormat = YuvFormat | GrayFormat | RgbFormat
type Chroma = 'I420' | 'I422' | 'I444'
type YuvFormat = Chroma | `${Chroma}P10` | `${Chroma}P12` | 'NV12'
type GrayFormat = 'GRAY8' | 'GRAY10' | 'GRAY12' | 'GRAY16'
type RgbFormat = 'RGBA' | 'RGBX' | 'BGRA' | 'BGRX'

/** Colour as the file states it; null where it says nothing. */
export interface PictureColor {
  readonly primaries: string | null
  readonly transfer: string | null
  readonly matrix: string | null
  readonly fullRange: boolean | null
}

/** One decoded picture, unturned, with the memory it owns. */
export interface Planes {
  readonly format: SampleFormat
  readonly width: number
  readonly height: number
  readonly buffer: ArrayBuffer
  readonly layout: readonly { readonly offset: number; readonly stride: number }[]
  readonly color: PictureColor
  /** True when the decoder patched over damaged data to make this picture. */
  readonly doubtful: boolean
}

export const unknownColor: PictureColor = { primaries: null, transfer: null, matrix: null, fullRange: null }

/** Shape of a format: bits a sample, how much the colour planes are shrunk, and whether it is packed RGB. */
export function shapeOf(format: SampleFormat): {
  readonly kind: 'planar' | 'semi-planar' | 'gray' | 'rgb'
  readonly bitDepth: number
  readonly chromaX: number
  readonly chromaY: number
} {
  // NV12 ends in digits that are part of its name, not its depth.
  const bitDepth = Number(/^(?:I4\d\dP|GRAY)(\d+)$/.exec(format)?.[1] ?? 8)
  if (format === 'NV12') return { kind: 'semi-planar', bitDepth, chromaX: 2, chromaY: 2 }
  if (format.startsWith('GRAY')) return { kind: 'gray', bitDepth, chromaX: 0, chromaY: 0 }
  if (format.startsWith('I4')) {
    return {
      kind: 'planar',
      bitDepth,
      chromaX: format.startsWith('I444') ? 1 : 2,
      chromaY: format.startsWith('I420') ? 2 : 1,
    }
  }
  return { kind: 'rgb', bitDepth, chromaX: 1, chromaY: 1 }
}

/** Planes packed without gaps in the order Y, U, V: where each starts, and the bytes of all together.
 *  This is how raw video is written, and the default of `VideoFrame.copyTo`. */
export function packedLayout(
  format: SampleFormat,
  width: number,
  height: number,
): { readonly layout: { offset: number; stride: number }[]; readonly bytes: number } {
  const { kind, bitDepth, chromaX, chromaY } = shapeOf(format)
  const size = bitDepth > 8 ? 2 : 1
  if (kind === 'rgb') return { layout: [{ offset: 0, stride: width * 4 }], bytes: width * height * 4 }
  const luma = width * height * size
  if (kind === 'gray') return { layout: [{ offset: 0, stride: width * size }], bytes: luma }
  const chromaWidth = Math.ceil(width / chromaX)
  const chromaHeight = Math.ceil(height / chromaY)
  const first = { offset: 0, stride: width * size }
  if (kind === 'semi-planar') {
    const stride = chromaWidth * 2 * size
    return { layout: [first, { offset: luma, stride }], bytes: luma + stride * chromaHeight }
  }
  const stride = chromaWidth * size
  const chroma = stride * chromaHeight
  return {
    layout: [first, { offset: luma, stride }, { offset: luma + chroma, stride }],
    bytes: luma + 2 * chroma,
  }
}

/** Brightness of a picture. Free of copying for everything but packed RGB, where it is
 *  0.299 R + 0.587 G + 0.114 B. Source: Recommendation ITU-R BT.601-7, 2.5.1. */
export function lumaOf(planes: Planes): Luma {
  const { width, height, buffer } = planes
  const { kind, bitDepth } = shapeOf(planes.format)
  const first = planes.layout[0] ?? { offset: 0, stride: width }
  if (kind === 'rgb') {
    return { width, height, stride: width, data: lumaOfRgb(planes, first), bitDepth, fullRange: true }
  }
  const fullRange = planes.color.fullRange ?? kind === 'gray'
  if (bitDepth > 8) {
    const stride = first.stride / 2
    const data = new Uint16Array(buffer, first.offset, stride * (height - 1) + width)
    return { width, height, stride, data, bitDepth, fullRange }
  }
  const data = new Uint8Array(buffer, first.offset, first.stride * (height - 1) + width)
  return { width, height, stride: first.stride, data, bitDepth, fullRange }
}

function lumaOfRgb(planes: Planes, first: { readonly offset: number; readonly stride: number }): Uint8Array {
  const { width, height } = planes
  const source = new Uint8Array(planes.buffer)
  const out = new Uint8Array(width * height)
  const redAt = planes.format.startsWith('BGR') ? 2 : 0
  for (let y = 0; y < height; y++) {
    let at = first.offset + y * first.stride
    for (let x = 0; x < width; x++, at += 4) {
      const red = source[at + redAt] ?? 0
      const green = source[at + 1] ?? 0
      const blue = source[at + 2 - redAt] ?? 0
      out[y * width + x] = Math.round(0.299 * red + 0.587 * green + 0.114 * blue)
    }
  }
  return out
}
