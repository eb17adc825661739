import { createRequire } from 'node:module'

/** The parts of OpenCV's WebAssembly build (npm: @techstark/opencv-js) that serve as the outside reference for projective geometry. */
export interface OracleMat {
  readonly data64F: Float64Array
  readonly rows: number
  delete(): void
}

interface OpenCv {
  readonly CV_64F: number
  readonly CV_64FC2: number
  readonly CV_64FC3: number
  matFromArray(rows: number, cols: number, type: number, values: readonly number[]): OracleMat
  Mat: new () => OracleMat
  findHomography(from: OracleMat, to: OracleMat, method: number): OracleMat
  perspectiveTransform(from: OracleMat, to: OracleMat, h: OracleMat): void
  projectPoints(
    object: OracleMat,
    turn: OracleMat,
    shift: OracleMat,
    camera: OracleMat,
    distortion: OracleMat,
    to: OracleMat,
  ): void
}

let loaded: Promise<Oracle> | undefined

/** Loads the reference library once. */
export function loadOracle(): Promise<Oracle> {
  loaded ??= new Promise((resolve) => {
    const module: { then: (ready: (cv: OpenCv) => void) => void } = createRequire(import.meta.url)(
      '@techstark/opencv-js',
    )
    // Its own `then` hands over an object that is again thenable: awaiting it would never end.
    module.then((cv) => resolve(new Oracle(cv)))
  })
  return loaded
}

export class Oracle {
  // Private field, not a property: a promise that resolves to this class must not find a `then` anywhere near.
  readonly #cv: OpenCv

  constructor(cv: OpenCv) {
    this.#cv = cv
  }

  points(values: readonly number[]): OracleMat {
    return this.#cv.matFromArray(values.length / 2, 1, this.#cv.CV_64FC2, values)
  }

  places(values: readonly number[]): OracleMat {
    return this.#cv.matFromArray(values.length / 3, 1, this.#cv.CV_64FC3, values)
  }

  matrix(rows: number, cols: number, values: readonly number[]): OracleMat {
    return this.#cv.matFromArray(rows, cols, this.#cv.CV_64F, values)
  }

  empty(): OracleMat {
    return new this.#cv.Mat()
  }

  /** Least-squares homography (method 0), row by row with the last entry 1. */
  homography(from: readonly number[], to: readonly number[]): number[] {
    const [a, b] = [this.points(from), this.points(to)]
    const h = this.#cv.findHomography(a, b, 0)
    const values = Array.from(h.data64F)
    for (const mat of [a, b, h]) mat.delete()
    return values
  }

  perspective(points: readonly number[], h: readonly number[]): number[] {
    const [a, m, out] = [this.points(points), this.matrix(3, 3, h), this.empty()]
    this.perspectiveInto(a, out, m)
    const values = Array.from(out.data64F)
    for (const mat of [a, m, out]) mat.delete()
    return values
  }

  /** Pictures of places before a camera with the given matrix and (k1, k2, p1, p2) distortion, turned by a rotation vector and shifted. */
  project(
    places: readonly number[],
    turn: readonly number[],
    shift: readonly number[],
    camera: readonly number[],
    distortion: readonly number[],
  ): number[] {
    const mats = [
      this.places(places),
      this.matrix(3, 1, turn),
      this.matrix(3, 1, shift),
      this.matrix(3, 3, camera),
      this.matrix(4, 1, distortion),
      this.empty(),
    ] as const
    this.projectInto(...mats)
    const values = Array.from(mats[5].data64F)
    for (const mat of mats) mat.delete()
    return values
  }

  perspectiveInto(from: OracleMat, to: OracleMat, h: OracleMat): void {
    this.#cv.perspectiveTransform(from, to, h)
  }

  projectInto(
    places: OracleMat,
    turn: OracleMat,
    shift: OracleMat,
    camera: OracleMat,
    distortion: OracleMat,
    to: OracleMat,
  ): void {
    this.#cv.projectPoints(places, turn, shift, camera, distortion, to)
  }
}
