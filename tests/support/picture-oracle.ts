import { createRequire } from 'node:module'
import type { Luma } from '../../workers/locate/frame-source.ts'

/** The parts of OpenCV's WebAssembly build (npm: @techstark/opencv-js) that serve as the outside reference for finding a ball in a picture. */
interface Mat {
  readonly data: Uint8Array
  readonly data32F: Float32Array
  readonly rows: number
  readonly cols: number
  roi(rect: object): Mat
  clone(): Mat
  delete(): void
}

interface OpenCv {
  readonly CV_8UC1: number
  readonly TM_CCOEFF_NORMED: number
  readonly HOUGH_GRADIENT: number
  Mat: { new (): Mat; new (rows: number, cols: number, type: number): Mat }
  Rect: new (x: number, y: number, width: number, height: number) => object
  matchTemplate(image: Mat, template: Mat, result: Mat, method: number): void
  HoughCircles(
    image: Mat,
    circles: Mat,
    method: number,
    dp: number,
    minDist: number,
    param1: number,
    param2: number,
    minRadius: number,
    maxRadius: number,
  ): void
}

export interface Place {
  readonly x: number
  readonly y: number
}

let loaded: Promise<PictureOracle> | undefined

export function loadPictureOracle(): Promise<PictureOracle> {
  loaded ??= new Promise((resolve) => {
    const module: { then: (ready: (cv: OpenCv) => void) => void } = createRequire(import.meta.url)(
      '@techstark/opencv-js',
    )
    // Its own `then` hands over an object that is again thenable: awaiting it would never end.
    module.then((cv) => resolve(new PictureOracle(cv)))
  })
  return loaded
}

/** Finds a ball in single frames with the library's own means. Places are pixel centres at .5, as everywhere. */
export class PictureOracle {
  readonly #cv: OpenCv
  #template: { readonly mat: Mat; readonly half: number; readonly part: Place } | undefined

  constructor(cv: OpenCv) {
    this.#cv = cv
  }

  /** Takes the ball at a known place as the template to look for. */
  learn(luma: Luma, at: Place, radius: number): void {
    const half = Math.ceil(radius) + 3
    const [column, row] = [Math.floor(at.x), Math.floor(at.y)]
    const window = this.#window(luma, column - half, row - half, 2 * half + 1, 2 * half + 1)
    this.#template?.mat.delete()
    this.#template = { mat: window, half, part: { x: at.x - column, y: at.y - row } }
  }

  /** Best match of the template (normalised correlation coefficient) within `reach` px, between pixels by parabolas. */
  match(luma: Luma, near: Place, reach: number): Place | undefined {
    const cv = this.#cv
    const template = this.#template
    if (!template) throw new Error('nothing was learnt')
    const { half, part, mat } = template
    const left = Math.floor(near.x) - half - reach
    const top = Math.floor(near.y) - half - reach
    const size = 2 * (half + reach) + 1
    if (left < 0 || top < 0 || left + size > luma.width || top + size > luma.height) return undefined
    const window = this.#window(luma, left, top, size, size)
    const result = new cv.Mat()
    cv.matchTemplate(window, mat, result, cv.TM_CCOEFF_NORMED)
    const { data32F: value, cols, rows } = result
    let best = 0
    for (let i = 1; i < value.length; i++) if (value[i]! > value[best]!) best = i
    const [i, j] = [best % cols, Math.floor(best / cols)]
    const inside = i > 0 && j > 0 && i < cols - 1 && j < rows - 1
    const place = inside
      ? {
          x: left + half + i + part.x + peak(value[best - 1]!, value[best]!, value[best + 1]!),
          y: top + half + j + part.y + peak(value[best - cols]!, value[best]!, value[best + cols]!),
        }
      : undefined
    window.delete()
    result.delete()
    return place
  }

  /** The circle nearest to a place by the gradient Hough transform, radius known to a tenth. */
  circle(luma: Luma, near: Place, radius: number): Place | undefined {
    const cv = this.#cv
    const half = Math.ceil(2 * radius)
    const left = Math.floor(near.x) - half
    const top = Math.floor(near.y) - half
    const size = 2 * half + 1
    if (left < 0 || top < 0 || left + size > luma.width || top + size > luma.height) return undefined
    const window = this.#window(luma, left, top, size, size)
    const circles = new cv.Mat()
    cv.HoughCircles(
      window,
      circles,
      cv.HOUGH_GRADIENT,
      1,
      radius,
      100,
      8,
      Math.floor(0.9 * radius),
      Math.ceil(1.1 * radius),
    )
    let best: Place | undefined
    for (let c = 0; c < circles.cols; c++) {
      // It counts from the first pixel's centre.
      const at = { x: left + circles.data32F[3 * c]! + 0.5, y: top + circles.data32F[3 * c + 1]! + 0.5 }
      if (!best || distance(at, near) < distance(best, near)) best = at
    }
    window.delete()
    circles.delete()
    return best && distance(best, near) < 0.75 * radius ? best : undefined
  }

  #window(luma: Luma, left: number, top: number, width: number, height: number): Mat {
    const mat = new this.#cv.Mat(height, width, this.#cv.CV_8UC1)
    for (let j = 0; j < height; j++) {
      const from = (top + j) * luma.stride + left
      mat.data.set(luma.data.subarray(from, from + width), j * width)
    }
    return mat
  }
}

const distance = (a: Place, b: Place): number => Math.hypot(a.x - b.x, a.y - b.y)

/** Top of the parabola through three neighbours, −½ … ½. */
function peak(before: number, at: number, after: number): number {
  const bend = before - 2 * at + after
  return bend < 0 ? Math.max(-0.5, Math.min(0.5, (0.5 * (before - after)) / bend)) : 0
}
