import { cross, dot, subtract, type Vec3 } from './vector.ts'

export interface CameraSpec {
  readonly position_m: Vec3
  /** Turned to the right, seen from above; 0 looks along +y. */
  readonly yaw_deg: number
  /** Looking down. */
  readonly pitch_deg: number
  /** Turned clockwise about its own axis. */
  readonly roll_deg: number
  readonly focal_px: number
  /** Radial distortion: a point at normalised radius r appears at r (1 + k1 r²). */
  readonly k1: number
}

/** A pinhole camera with one radial term. Picture coordinates: (0, 0) is the outer corner of the top-left pixel. */
export interface Camera {
  readonly position: Vec3
  /** Rows: right, down, forward. */
  readonly axes: readonly [Vec3, Vec3, Vec3]
  readonly focal_px: number
  readonly centre_px: readonly [number, number]
  readonly k1: number
  toCamera(point: Vec3): Vec3
  /** Picture position of a world point, px. Defined for points in front of the camera. */
  project(point: Vec3): readonly [number, number]
  /** Normalised, undistorted direction (X, Y) with Z = 1, in camera axes. */
  unproject(x_px: number, y_px: number): readonly [number, number]
}

const radians = (degrees: number): number => (degrees * Math.PI) / 180

/** Camera axes from yaw, pitch and roll. */
export function cameraAxes(spec: Pick<CameraSpec, 'yaw_deg' | 'pitch_deg' | 'roll_deg'>): readonly [Vec3, Vec3, Vec3] {
  const yaw = radians(spec.yaw_deg)
  const pitch = radians(spec.pitch_deg)
  const roll = radians(spec.roll_deg)
  const forward: Vec3 = [Math.sin(yaw) * Math.cos(pitch), Math.cos(yaw) * Math.cos(pitch), -Math.sin(pitch)]
  const level: Vec3 = [Math.cos(yaw), -Math.sin(yaw), 0]
  const down = cross(forward, level)
  const c = Math.cos(roll)
  const s = Math.sin(roll)
  const right: Vec3 = [c * level[0] + s * down[0], c * level[1] + s * down[1], c * level[2] + s * down[2]]
  return [right, cross(forward, right), forward]
}

/** Radius before distortion of a point seen at radius `seen`: the root of r (1 + k1 r²) = seen, by Newton's method. */
function undistortedRadius(seen: number, k1: number): number {
  let r = seen
  for (let step = 0; step < 12; step++) {
    const error = r * (1 + k1 * r * r) - seen
    r -= error / (1 + 3 * k1 * r * r)
    if (Math.abs(error) < 1e-14) break
  }
  return r
}

/** A camera at `position` with the given axes; the principal point is the middle of the picture. */
export function cameraWith(
  position: Vec3,
  axes: readonly [Vec3, Vec3, Vec3],
  focal_px: number,
  k1: number,
  image: { readonly width: number; readonly height: number },
): Camera {
  const centre_px = [image.width / 2, image.height / 2] as const
  const toCamera = (point: Vec3): Vec3 => {
    const d = subtract(point, position)
    return [dot(axes[0], d), dot(axes[1], d), dot(axes[2], d)]
  }
  return {
    position,
    axes,
    focal_px,
    centre_px,
    k1,
    toCamera,
    project(point) {
      const [x, y, z] = toCamera(point)
      const X = x / z
      const Y = y / z
      const bend = 1 + k1 * (X * X + Y * Y)
      return [centre_px[0] + focal_px * X * bend, centre_px[1] + focal_px * Y * bend]
    },
    unproject(x_px, y_px) {
      const X = (x_px - centre_px[0]) / focal_px
      const Y = (y_px - centre_px[1]) / focal_px
      if (k1 === 0) return [X, Y]
      const seen = Math.hypot(X, Y)
      if (seen === 0) return [0, 0]
      const f = undistortedRadius(seen, k1) / seen
      return [X * f, Y * f]
    },
  }
}

export function buildCamera(spec: CameraSpec, image: { readonly width: number; readonly height: number }): Camera {
  return cameraWith(spec.position_m, cameraAxes(spec), spec.focal_px, spec.k1, image)
}

/** The same camera turned in place by small angles [rad] about its right, down and forward axes: hand shake. */
export function turned(
  camera: Camera,
  turn_rad: Vec3,
  image: { readonly width: number; readonly height: number },
): Camera {
  const [right, down, forward] = camera.axes
  const [a, b, c] = turn_rad
  const mixAxes = (fr: number, fd: number, ff: number): Vec3 => [
    fr * right[0] + fd * down[0] + ff * forward[0],
    fr * right[1] + fd * down[1] + ff * forward[1],
    fr * right[2] + fd * down[2] + ff * forward[2],
  ]
  const cosA = Math.cos(a)
  const sinA = Math.sin(a)
  const cosB = Math.cos(b)
  const sinB = Math.sin(b)
  const cosC = Math.cos(c)
  const sinC = Math.sin(c)
  // Turn about right (a), then down (b), then forward (c): product of three elementary rotations.
  const newForward = mixAxes(sinB * cosA, -sinA, cosB * cosA)
  const beforeRoll = mixAxes(cosB, 0, -sinB)
  const downBeforeRoll = cross(newForward, beforeRoll)
  const newRight: Vec3 = [
    cosC * beforeRoll[0] + sinC * downBeforeRoll[0],
    cosC * beforeRoll[1] + sinC * downBeforeRoll[1],
    cosC * beforeRoll[2] + sinC * downBeforeRoll[2],
  ]
  return cameraWith(
    camera.position,
    [newRight, cross(newForward, newRight), newForward],
    camera.focal_px,
    camera.k1,
    image,
  )
}
