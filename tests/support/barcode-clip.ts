import { createHash } from 'node:crypto'
import { existsSync, mkdirSync, renameSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { barcodeArea, barcodeBars } from './barcode.ts'
import { ffmpeg } from './native-ffmpeg.ts'
import { cacheFolder } from './repository.ts'

/** A clip whose frames carry their number as a bar code, and how it is coded. */
export interface BarcodeClip {
  readonly name: string
  readonly extension: string
  readonly width?: number
  readonly height?: number
  readonly frames?: number
  /** Arguments of ffmpeg between the raw frames and the output file. */
  readonly encode: readonly string[]
  /** True for a folder of numbered stills instead of one file. */
  readonly stills?: boolean
  /** Arguments of a second pass that copies the packets of the first, e.g. to cut with an edit list. */
  readonly remux?: { readonly before: readonly string[]; readonly after: readonly string[] }
}

/** Changes when the drawing of the frames changes, so that old clips are made again. */
const drawingVersion = 1

/** Makes the clip with native ffmpeg, or finds it in the cache. Returns its path; for stills, the path pattern's folder. */
export function makeBarcodeClip(clip: BarcodeClip): string {
  const key = createHash('sha256')
    .update(JSON.stringify([drawingVersion, clip]))
    .digest('hex')
    .slice(0, 12)
  const folder = join(cacheFolder('clips'), `${clip.name}-${key}`)
  const path = clip.stills === true ? folder : join(folder, `${clip.name}.${clip.extension}`)
  if (existsSync(folder)) return path
  const making = `${folder}.making-${process.pid}`
  rmSync(making, { recursive: true, force: true })
  mkdirSync(making)
  const { width = 320, height = 180, frames = 90 } = clip
  const raw = ['-f', 'rawvideo', '-pix_fmt', 'yuv420p', '-s', `${width}x${height}`, '-r', '30', '-i', '-']
  const target = join(making, clip.stills === true ? `still_%04d.${clip.extension}` : `${clip.name}.${clip.extension}`)
  if (clip.remux === undefined) ffmpeg([...raw, ...clip.encode, target], rawFrames(width, height, frames))
  else {
    const whole = join(making, `whole.${clip.extension}`)
    ffmpeg([...raw, ...clip.encode, whole], rawFrames(width, height, frames))
    ffmpeg([...clip.remux.before, '-i', whole, '-c', 'copy', ...clip.remux.after, target])
    rmSync(whole)
  }
  renameSync(making, folder)
  return path
}

/** Raw yuv420p frames: a moving ramp behind, a ball rolling through, the number in front. */
export function rawFrames(width: number, height: number, frames: number): Uint8Array {
  const chromaWidth = Math.ceil(width / 2)
  const chromaHeight = Math.ceil(height / 2)
  const frameBytes = width * height + 2 * chromaWidth * chromaHeight
  const out = new Uint8Array(frameBytes * frames)
  for (let n = 0; n < frames; n++) drawFrame(out.subarray(n * frameBytes, (n + 1) * frameBytes), width, height, n)
  return out
}

export function drawFrame(out: Uint8Array, width: number, height: number, n: number): void {
  const ball = { x: (n * 7) % width, y: height * 0.82, r: height / 12 }
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const inside = (x - ball.x) ** 2 + (y - ball.y) ** 2 < ball.r ** 2
      const ramp = 60 + ((x + 2 * y + 3 * n) % 120)
      out[y * width + x] = inside ? 210 : ramp
    }
  }
  const chroma = width * height
  out.fill(128, chroma)
  const chromaWidth = Math.ceil(width / 2)
  for (let x = 0; x < chromaWidth; x++) out[chroma + ((n * 3) % Math.ceil(height / 2)) * chromaWidth + x] = 90
  const area = barcodeArea(width, height)
  barcodeBars(n).forEach((white, cell) => {
    for (let y = area.y; y < area.y + area.height; y++) {
      const from = y * width + area.x + cell * area.cellWidth
      out.fill(white ? 235 : 16, from, from + area.cellWidth)
    }
  })
}
