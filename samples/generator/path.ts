import { add, along, cross, type Vec3 } from './vector.ts'

/** The curve that a ball's centre follows; s [m] is arc length along it, + downhill. */
export interface LanePath {
  readonly length_m: number
  at(s_m: number): { readonly point: Vec3; readonly tangent: Vec3; readonly up: Vec3 }
  /** Angle of the path below the horizontal [rad]. */
  slope_rad(s_m: number): number
  /** Straight paths need one piece of lane, curved ones many. */
  readonly straight: boolean
}

export type PathSpec =
  | {
      readonly kind: 'straight'
      readonly start_m: Vec3
      readonly slope_deg: number
      /** Turned away from the camera, seen from above; 0 runs along +x. */
      readonly heading_deg: number
      readonly length_m: number
    }
  | {
      /** Part of a helix: a circle seen from above, at constant slope. */
      readonly kind: 'arc'
      readonly start_m: Vec3
      readonly slope_deg: number
      readonly heading_deg: number
      /** Radius of the circle seen from above; positive bends away from the camera. */
      readonly radius_m: number
      readonly length_m: number
    }
  | { readonly kind: 'fall'; readonly start_m: Vec3; readonly length_m: number }

export function buildPath(spec: PathSpec): LanePath {
  switch (spec.kind) {
    case 'straight': {
      const slope = (spec.slope_deg * Math.PI) / 180
      const heading = (spec.heading_deg * Math.PI) / 180
      const tangent: Vec3 = [Math.cos(slope) * Math.cos(heading), Math.cos(slope) * Math.sin(heading), -Math.sin(slope)]
      const up = upFrom(tangent, heading)
      return {
        length_m: spec.length_m,
        straight: true,
        slope_rad: () => slope,
        at: (s) => ({ point: along(spec.start_m, tangent, s), tangent, up }),
      }
    }
    case 'arc': {
      const slope = (spec.slope_deg * Math.PI) / 180
      const first = (spec.heading_deg * Math.PI) / 180
      const rho = spec.radius_m
      return {
        length_m: spec.length_m,
        straight: false,
        slope_rad: () => slope,
        at(s) {
          const heading = first + (s * Math.cos(slope)) / rho
          const offset: Vec3 = [
            rho * (Math.sin(heading) - Math.sin(first)),
            rho * (Math.cos(first) - Math.cos(heading)),
            -s * Math.sin(slope),
          ]
          const tangent: Vec3 = [
            Math.cos(slope) * Math.cos(heading),
            Math.cos(slope) * Math.sin(heading),
            -Math.sin(slope),
          ]
          return { point: add(spec.start_m, offset), tangent, up: upFrom(tangent, heading) }
        },
      }
    }
    case 'fall':
      return {
        length_m: spec.length_m,
        straight: true,
        slope_rad: () => Math.PI / 2,
        at: (s) => ({ point: along(spec.start_m, [0, 0, -1], s), tangent: [0, 0, -1], up: [1, 0, 0] }),
      }
  }
}

/** Square to the path, in its vertical plane. */
function upFrom(tangent: Vec3, heading_rad: number): Vec3 {
  const away: Vec3 = [-Math.sin(heading_rad), Math.cos(heading_rad), 0]
  return cross(tangent, away)
}

/** Direction across the path, away from the camera for a lane that runs along +x. */
export const acrossOf = (tangent: Vec3, up: Vec3): Vec3 => cross(up, tangent)
