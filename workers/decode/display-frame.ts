import { packedLayout, shapeOf, type Planes, type SampleFormat } from './planes.ts'

/** Lines up to which untagged footage is coloured as standard definition. Source: common practice, no source. */
const standardDefinitionLines = 576

const constructible = new Map<SampleFormat, boolean>()

/** A picture the page can draw, made from planes: a `VideoFrame` where the browser has one, else an `ImageBitmap`.
 *  The receiver closes it. Untagged colour is read as BT.601 up to 576 lines and as BT.709 above. */
export async function displayImage(planes: Planes, timestamp_us: number): Promise<VideoFrame | ImageBitmap> {
  if (typeof VideoFrame === 'undefined') return await bitmapOf(planes)
  const shown = canConstruct(planes.format) ? planes : toEightBits(planes)
  return new VideoFrame(shown.buffer, {
    format: shown.format as VideoPixelFormat,
    codedWidth: shown.width,
    codedHeight: shown.height,
    layout: shown.layout.map((plane) => ({ ...plane })),
    timestamp: timestamp_us,
    colorSpace: colorSpaceOf(shown),
  })
}

function canConstruct(format: SampleFormat): boolean {
  const before = constructible.get(format)
  if (before !== undefined) return before
  let able = false
  try {
    const { layout, bytes } = packedLayout(format, 2, 2)
    const init = { format: format as VideoPixelFormat, codedWidth: 2, codedHeight: 2, layout, timestamp: 0 }
    new VideoFrame(new ArrayBuffer(bytes), init).close()
    able = true
  } catch {
    able = false
  }
  constructible.set(format, able)
  return able
}

function colorSpaceOf(planes: Planes): VideoColorSpaceInit {
  const { kind } = shapeOf(planes.format)
  if (kind === 'rgb') return { primaries: 'bt709', transfer: 'iec61966-2-1', matrix: 'rgb', fullRange: true }
  const standard = planes.height <= standardDefinitionLines ? 'smpte170m' : 'bt709'
  const { primaries, transfer, matrix, fullRange } = planes.color
  return {
    primaries: (primaries ?? standard) as VideoColorPrimaries,
    transfer: (transfer ?? standard) as VideoTransferCharacteristics,
    matrix: (matrix === null || matrix === 'rgb' ? standard : matrix) as VideoMatrixCoefficients,
    fullRange: fullRange ?? kind === 'gray',
  }
}

/** Picture of eight bits in I420, I422 or I444, for showing only: measuring keeps every bit. */
export function toEightBits(planes: Planes): Planes {
  const { kind, bitDepth, chromaX, chromaY } = shapeOf(planes.format)
  const { width, height } = planes
  const format = kind !== 'planar' ? 'I420' : chromaX === 1 ? 'I444' : chromaY === 1 ? 'I422' : 'I420'
  const { layout, bytes } = packedLayout(format, width, height)
  const out = new Uint8Array(bytes)
  const shift = bitDepth - 8
  layout.forEach((plane, index) => {
    const rows = index === 0 ? height : Math.ceil(height / shapeOf(format).chromaY)
    const from = planes.layout[index]
    if (from === undefined) {
      out.fill(128, plane.offset, plane.offset + rows * plane.stride)
      return
    }
    for (let y = 0; y < rows; y++) {
      const offset = from.offset + y * from.stride
      const row = out.subarray(plane.offset + y * plane.stride, plane.offset + (y + 1) * plane.stride)
      if (shift === 0) row.set(new Uint8Array(planes.buffer, offset, plane.stride))
      else {
        const wide = new Uint16Array(planes.buffer, offset, plane.stride)
        for (let x = 0; x < row.length; x++) row[x] = (wide[x] ?? 0) >> shift
      }
    }
  })
  return { ...planes, format, buffer: out.buffer, layout }
}

async function bitmapOf(planes: Planes): Promise<ImageBitmap> {
  return await createImageBitmap(new ImageData(rgbaOf(planes), planes.width, planes.height))
}

/** RGBA samples of a picture by the matrix of its colour space. Source: ITU-R BT.601-7 and BT.709-6, item 3. */
export function rgbaOf(planes: Planes): Uint8ClampedArray<ArrayBuffer> {
  const { width, height } = planes
  const out = new Uint8ClampedArray(width * height * 4)
  const source =
    shapeOf(planes.format).kind === 'planar' || planes.format.startsWith('GRAY') ? toEightBits(planes) : planes
  const bytes = new Uint8Array(source.buffer)
  const { kind, chromaX, chromaY } = shapeOf(source.format)
  const [first, second, third] = source.layout
  if (first === undefined) return out
  const { matrix, fullRange } = colorSpaceOf(planes)
  const [kr, kb] = matrix === 'bt709' ? [0.2126, 0.0722] : [0.299, 0.114]
  const scaleY = fullRange === true ? 1 : 255 / 219
  const scaleC = fullRange === true ? 1 : 255 / 224
  const black = fullRange === true ? 0 : 16
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const to = (y * width + x) * 4
      out[to + 3] = 255
      if (kind === 'rgb') {
        const at = first.offset + y * first.stride + x * 4
        const redAt = source.format.startsWith('BGR') ? 2 : 0
        out[to] = bytes[at + redAt] ?? 0
        out[to + 1] = bytes[at + 1] ?? 0
        out[to + 2] = bytes[at + 2 - redAt] ?? 0
        continue
      }
      const luma = ((bytes[first.offset + y * first.stride + x] ?? 0) - black) * scaleY
      const column = Math.floor(x / chromaX)
      const row = Math.floor(y / chromaY)
      const interleaved = kind === 'semi-planar'
      const uAt = second === undefined ? -1 : second.offset + row * second.stride + (interleaved ? 2 * column : column)
      const vAt = interleaved ? uAt + 1 : third === undefined ? -1 : third.offset + row * third.stride + column
      const u = ((bytes[uAt] ?? 128) - 128) * scaleC
      const v = ((bytes[vAt] ?? 128) - 128) * scaleC
      out[to] = luma + 2 * (1 - kr) * v
      out[to + 1] = luma - (2 * kb * (1 - kb) * u + 2 * kr * (1 - kr) * v) / (1 - kr - kb)
      out[to + 2] = luma + 2 * (1 - kb) * u
    }
  }
  return out
}
