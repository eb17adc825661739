import type { Px } from '../../../workers/record/index.ts'

type Vec = readonly [number, number, number]

/**
 * A pinhole camera of the tests' own: world x right, y down, z away from the camera; the camera stands at (x, y, −distance), is turned to the right
 * by yaw, then looks down by pitch, then rolls clockwise. k1: radial distortion, radius in units of the half diagonal.
 */
export interface Camera {
  readonly width: number
  readonly height: number
  readonly focal_px: number
  readonly distance_m: number
  readonly x_m: number
  readonly y_m: number
  readonly yaw_rad: number
  readonly pitch_rad: number
  readonly roll_rad: number
  readonly k1: number
}

export const frontal: Camera = {
  width: 1280,
  height: 720,
  focal_px: 2000,
  distance_m: 1.1,
  x_m: 0.3,
  y_m: -0.1,
  yaw_rad: 0,
  pitch_rad: 0,
  roll_rad: 0,
  k1: 0,
}

/** Where a place of the world is seen [px], by turning the world into the camera's axes one turn after the other. */
export function see(camera: Camera, [x, y, z]: Vec): Px {
  let v: Vec = [x - camera.x_m, y - camera.y_m, z + camera.distance_m]
  v = [
    v[0] * Math.cos(camera.yaw_rad) - v[2] * Math.sin(camera.yaw_rad),
    v[1],
    v[0] * Math.sin(camera.yaw_rad) + v[2] * Math.cos(camera.yaw_rad),
  ]
  v = [
    v[0],
    v[1] * Math.cos(camera.pitch_rad) - v[2] * Math.sin(camera.pitch_rad),
    v[1] * Math.sin(camera.pitch_rad) + v[2] * Math.cos(camera.pitch_rad),
  ]
  v = [
    v[0] * Math.cos(camera.roll_rad) + v[1] * Math.sin(camera.roll_rad),
    -v[0] * Math.sin(camera.roll_rad) + v[1] * Math.cos(camera.roll_rad),
    v[2],
  ]
  const dx = (camera.focal_px * v[0]) / v[2]
  const dy = (camera.focal_px * v[1]) / v[2]
  const half = Math.hypot(camera.width, camera.height) / 2
  const grow = 1 + (camera.k1 * (dx * dx + dy * dy)) / half ** 2
  return { x: camera.width / 2 + dx * grow, y: camera.height / 2 + dy * grow }
}
