/** A point or direction in the world: metres, x along the lanes, y away from the camera, z up. */
export type Vec3 = readonly [number, number, number]

export const add = (a: Vec3, b: Vec3): Vec3 => [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
export const subtract = (a: Vec3, b: Vec3): Vec3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
export const scale = (a: Vec3, f: number): Vec3 => [a[0] * f, a[1] * f, a[2] * f]
export const dot = (a: Vec3, b: Vec3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
export const length = (a: Vec3): number => Math.hypot(a[0], a[1], a[2])
export const mix = (a: Vec3, b: Vec3, f: number): Vec3 => [
  a[0] + (b[0] - a[0]) * f,
  a[1] + (b[1] - a[1]) * f,
  a[2] + (b[2] - a[2]) * f,
]

export const cross = (a: Vec3, b: Vec3): Vec3 => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
]

/** `a` with length 1. Throws for the zero vector, which has no direction. */
export function unit(a: Vec3): Vec3 {
  const size = length(a)
  if (size === 0) throw new Error('the zero vector has no direction')
  return scale(a, 1 / size)
}

/** `a + f·b`. */
export const along = (a: Vec3, b: Vec3, f: number): Vec3 => [a[0] + f * b[0], a[1] + f * b[1], a[2] + f * b[2]]

/** `a` with length 1, or `instead` where `a` is the zero vector. */
export function normaliseOr(a: Vec3, instead: Vec3): Vec3 {
  const size = length(a)
  return size === 0 ? instead : scale(a, 1 / size)
}
